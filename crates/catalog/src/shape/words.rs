//! The fixed words of the files, each with the domain value that it stands for.

use domain::board::{CountVerdict, FirmwareOrder};
use domain::{Condition, Generation, Kind, Mark, Outcome, Severity};
use schemars::JsonSchema;
use serde::Deserialize;

/// Declares a set of words, and what each stands for.
macro_rules! words {
    ($(#[doc = $doc:literal] $name:ident => $target:ty { $($variant:ident = $word:literal => $value:expr,)* })*) => {$(
        #[doc = $doc]
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
        pub(crate) enum $name {
            $(#[serde(rename = $word)] $variant,)*
        }
        impl $name {
            pub fn value(self) -> $target {
                match self {
                    $(Self::$variant => $value,)*
                }
            }
        }
    )*};
}

words! {
    #[doc = "The DDR generation."]
    GenerationWord => Generation {
        Ddr3 = "DDR3" => Generation::Ddr3,
        Ddr4 = "DDR4" => Generation::Ddr4,
        Ddr5 = "DDR5" => Generation::Ddr5,
    }
    #[doc = "The kind of module."]
    KindWord => Kind {
        Udimm = "UDIMM" => Kind::Udimm,
        Rdimm = "RDIMM" => Kind::Rdimm,
        Rdimm3ds = "RDIMM-3DS" => Kind::Rdimm3ds,
        Lrdimm = "LRDIMM" => Kind::Lrdimm,
        Lrdimm3ds = "LRDIMM-3DS" => Kind::Lrdimm3ds,
        Mrdimm = "MRDIMM" => Kind::Mrdimm,
        Nonvolatile = "NVDIMM" => Kind::Nonvolatile,
    }
    #[doc = "How a figure was come by."]
    MarkWord => Mark {
        Seen = "seen" => Mark::Seen,
        Derived = "derived" => Mark::Derived,
        Memory = "memory" => Mark::Memory,
        Practice = "practice" => Mark::Practice,
        Invented = "invented" => Mark::Invented,
    }
    #[doc = "What happens."]
    SeverityWord => Severity {
        Wrong = "wrong" => Severity::Wrong,
        Unsupported = "unsupported" => Severity::Unsupported,
        Slower = "slower" => Severity::Slower,
        Unproven = "unproven" => Severity::Unproven,
        Note = "note" => Severity::Note,
    }
    #[doc = "What the machine does."]
    OutcomeWord => Outcome {
        Stops = "stops" => Outcome::Stops,
        DisablesModule = "disables-module" => Outcome::DisablesModule,
        DisablesChannel = "disables-channel" => Outcome::DisablesChannel,
        DisablesSocket = "disables-socket" => Outcome::DisablesSocket,
        DisablesMode = "disables-mode" => Outcome::DisablesMode,
        LosesBandwidth = "loses-bandwidth" => Outcome::LosesBandwidth,
        WaitsForKey = "waits-for-key" => Outcome::WaitsForKey,
        NothingSeen = "nothing-seen" => Outcome::NothingSeen,
        Unknown = "unknown" => Outcome::Unknown,
    }
    #[doc = "Whether every module must have ECC bits."]
    EccWord => bool {
        Required = "required" => true,
        Optional = "optional" => false,
    }
    #[doc = "How firmware levels compare: number by number, or letter by letter."]
    OrderWord => FirmwareOrder {
        Dotted = "dotted" => FirmwareOrder::Dotted,
        Text = "text" => FirmwareOrder::Text,
    }
    #[doc = "What a chart says of a count."]
    VerdictWord => CountVerdict {
        Supported = "supported" => CountVerdict::Supported,
        NotAdvised = "not-advised" => CountVerdict::NotAdvised,
        NotSupported = "not-supported" => CountVerdict::NotSupported,
    }
    #[doc = "What a RAS mode leaves of the capacity."]
    UsableWord => domain::board::Usable {
        All = "all" => domain::board::Usable::All,
        Half = "half" => domain::board::Usable::Half,
    }
    #[doc = "The way that the air moves."]
    AirWord => bool {
        FrontToBack = "front-to-back" => true,
        BackToFront = "back-to-front" => false,
    }
    #[doc = "New or used."]
    ConditionWord => Condition {
        New = "new" => Condition::New,
        Used = "used" => Condition::Used,
    }
}
