//! March tests and readings against what is published or worked out elsewhere.

mod faulty_words;
mod published;
