//! What a march test can find: faults of a very small memory, tried one by one, with every content that it may start with
//! and every order of the sweeps that may go either way. A fault counts as found only where all of these find it.

mod coverage;
mod instances;
mod memory;

pub use coverage::{Background, Free, Share, coverage, detects};
pub use instances::{instances, linked};
pub use memory::{CELLS, FaultyBits, FaultyWords};

/// A family of faults, as the literature names them (van de Goor 1991; Hamdioui, van de Goor, Rodgers 2002; the exact
/// definitions are this simulator's and stand at each).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Family {
    /// A cell holds one value for ever.
    StuckAt,
    /// A cell does not change from 0 to 1, or from 1 to 0.
    Transition,
    /// An address reaches another cell, two cells, or none.
    AddressDecoder,
    /// A change of one cell inverts another.
    CouplingInversion,
    /// A change of one cell forces another to a value.
    CouplingIdempotent,
    /// While one cell holds a value, another is forced to one.
    CouplingState,
    /// A read flips the cell and gives the wrong value.
    ReadDestructive,
    /// A read gives the right value and flips the cell.
    DeceptiveReadDestructive,
    /// A read gives the wrong value and leaves the cell.
    IncorrectRead,
    /// A write of what the cell holds already flips it.
    WriteDisturb,
    /// Any operation at one cell flips another.
    CouplingDisturb,
    /// A cell does not change while another holds a value.
    CouplingTransition,
    /// As write disturb, while another cell holds a value.
    CouplingWriteDisturb,
    /// As read destructive, while another cell holds a value.
    CouplingReadDestructive,
    /// As deceptive read destructive, while another cell holds a value.
    CouplingDeceptive,
    /// As incorrect read, while another cell holds a value.
    CouplingIncorrectRead,
}

impl Family {
    /// All, with the literature's short name and plain words.
    pub const ALL: [(Self, &'static str, &'static str); 16] = [
        (Self::StuckAt, "SAF", "cells stuck at a value"),
        (Self::Transition, "TF", "cells that do not change"),
        (Self::AddressDecoder, "AF", "addresses that reach a wrong cell, two, or none"),
        (Self::CouplingInversion, "CFin", "a change that inverts another cell"),
        (Self::CouplingIdempotent, "CFid", "a change that forces another cell"),
        (Self::CouplingState, "CFst", "a state that forces another cell"),
        (Self::ReadDestructive, "RDF", "reads that flip the cell and are wrong"),
        (Self::DeceptiveReadDestructive, "DRDF", "reads that are right and flip the cell"),
        (Self::IncorrectRead, "IRF", "reads that are wrong"),
        (Self::WriteDisturb, "WDF", "writes of the same value that flip the cell"),
        (Self::CouplingDisturb, "CFds", "any operation that flips another cell"),
        (Self::CouplingTransition, "CFtr", "cells that do not change while another holds a value"),
        (Self::CouplingWriteDisturb, "CFwd", "writes of the same value that flip, while another cell holds a value"),
        (Self::CouplingReadDestructive, "CFrd", "reads that flip and are wrong, while another cell holds a value"),
        (Self::CouplingDeceptive, "CFdr", "reads that are right and flip, while another cell holds a value"),
        (Self::CouplingIncorrectRead, "CFir", "reads that are wrong, while another cell holds a value"),
    ];
    /// The literature's short name.
    pub fn short(self) -> &'static str {
        Self::ALL.iter().find(|(f, _, _)| *f == self).map_or("", |(_, s, _)| s)
    }
    /// In plain words.
    pub fn words(self) -> &'static str {
        Self::ALL.iter().find(|(f, _, _)| *f == self).map_or("", |(_, _, w)| w)
    }
}

/// Two faults of one victim, the second able to hide the first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Linked {
    /// Two idempotent couplings from two cells, to opposite values.
    IdempotentTwo,
    /// Two idempotent couplings from one cell: its rise forces one value, its fall the other.
    IdempotentSame,
    /// Two inversion couplings from two cells.
    InversionTwo,
    /// A transition fault with an inversion coupling.
    TransitionInversion,
    /// A transition fault with an idempotent coupling.
    TransitionIdempotent,
}

impl Linked {
    /// All, with their names.
    pub const ALL: [(Self, &'static str); 5] = [
        (Self::IdempotentTwo, "CFid-CFid, two aggressors"),
        (Self::IdempotentSame, "CFid-CFid, same aggressor"),
        (Self::InversionTwo, "CFin-CFin, two aggressors"),
        (Self::TransitionInversion, "TF-CFin"),
        (Self::TransitionIdempotent, "TF-CFid"),
    ];
}

/// What is done to a cell.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Act {
    Read(bool),
    /// From what the cell held, to what is written.
    Write(bool, bool),
}

/// While cell `.0` holds `.1`; `None`: always.
pub type While = Option<(usize, bool)>;

/// One fault.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Fault {
    StuckAt {
        cell: usize,
        at: bool,
    },
    /// The cell does not go to `to`.
    Transition {
        cell: usize,
        to: bool,
        when: While,
    },
    /// A write of `value` where the cell holds it already flips it.
    WriteDisturb {
        cell: usize,
        value: bool,
        when: While,
    },
    /// A read of a cell that holds `value` gives the wrong value if `wrong`, and flips it if `flips`.
    Read {
        cell: usize,
        value: bool,
        wrong: bool,
        flips: bool,
        when: While,
    },
    /// `aggressor` changing to `to` inverts `victim`.
    Inversion {
        aggressor: usize,
        victim: usize,
        to: bool,
    },
    /// `aggressor` changing to `to` sets `victim`.
    Idempotent {
        aggressor: usize,
        victim: usize,
        to: bool,
        sets: bool,
    },
    /// While `aggressor` holds `holds`, `victim` is `sets`; looked at after each write.
    State {
        aggressor: usize,
        victim: usize,
        holds: bool,
        sets: bool,
    },
    /// `act` at `aggressor` flips `victim` where it holds `value`.
    Disturb {
        aggressor: usize,
        victim: usize,
        act: Act,
        value: bool,
    },
    /// The address of `cell` reaches `other` only.
    Elsewhere {
        cell: usize,
        other: usize,
    },
    /// The address of `cell` reaches `other` too; a read gives both, joined by OR if `or`, else by AND.
    Both {
        cell: usize,
        other: usize,
        or: bool,
    },
    /// The address of `cell` reaches nothing; a read gives `reads`.
    Nowhere {
        cell: usize,
        reads: bool,
    },
}
