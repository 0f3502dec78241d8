//! Part numbers of the large module makers, by their published schemes.
