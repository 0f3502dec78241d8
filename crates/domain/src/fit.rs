//! Small facts that several rooms need of a module in a place.

use crate::module::Module;

/// Electrical loads that a module puts on its channel.
///
/// A buffered module or MRDIMM is one load; a package rank of a registered or unbuffered module is one load, however
/// high its 3DS stack, since only the lowest die drives the bus (from memory).
pub fn loads(module: &Module) -> u8 {
    if module.kind.is_buffered() { 1 } else { module.organisation.package_ranks }
}
