//! Intake screening of used modules: what label, contents and part number say against each other.
