//! The crate from outside: shipped data, good files, broken files, any bytes, schemas.

mod broken;
mod good;
mod guide;
mod odd;
mod schemas;
mod shipped;
mod world;
