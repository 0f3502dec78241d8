//! Comparison: where a machine differs from the build that was planned, and the likely causes in order.
