//! A board drafted from a snapshot: sockets, channels and places worked out from names, handles, ranges and counts.
