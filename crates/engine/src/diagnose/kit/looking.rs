//! Tests that change nothing: the log, the eye, the counters, the exerciser.

use super::{Deed, answers, by};
use crate::diagnose::around::Around;
use domain::fault::Cause::{Board, Channel, Configuration, Contact, Firmware, Module, Processor, Seating, Slot};
use domain::fault::Sign;
use domain::quantity::Minutes;

/// Something to look at, with nothing cured.
fn watch(name: &'static str, title: &str, how: &[&str], minutes: u32, told: Vec<super::Answer>) -> Deed {
    Deed {
        name,
        title: title.to_string(),
        how: how.iter().map(ToString::to_string).collect(),
        hands: Minutes::new(minutes),
        starts: false,
        off: false,
        processor: false,
        risk: ("none: nothing is changed", 0.0),
        cures: by(&[]),
        gone: None,
        answers: told,
        mixed: 0,
        quiet: true,
    }
}

pub fn read_log(around: &Around<'_>) -> Deed {
    let told = answers(
        &[
            (
                "setting",
                "it names a setting, a slot switched off, or modules in places that are not allowed".to_string(),
                &[(Configuration, 0.95), (Firmware, 0.05)],
            ),
            (
                "firmware",
                "the firmware is older than these modules or processors need".to_string(),
                &[(Firmware, 0.80), (Configuration, 0.03)],
            ),
        ],
        ("nothing", "it names neither".to_string()),
    );
    let start = match around.symptom.sign {
        Sign::NoBoot => {
            "Read the two-digit start code or the service processor's event log; what a code means stands in \
                         the board's manual."
        }
        _ => "Read the service processor's event log and the memory page of the firmware.",
    };
    let how = [
        start,
        "Hold the inventory against the rules: `slotwright check` on this build, and the firmware level that it needs.",
    ];
    watch("read-log", "Read the log, and hold the inventory against the rules", &how, 2, told)
}

pub fn look(around: &Around<'_>) -> Deed {
    let misplaced = if around.symptom.sign == Sign::Slow {
        ("other-label", "a module's label is not the planned one: slower, or another size", [(Module, 0.70)].as_slice())
    } else {
        (
            "wrong-place",
            "a module is in another place than planned, or has another label",
            [(Configuration, 0.20)].as_slice(),
        )
    };
    let told = answers(
        &[
            (
                "latch",
                format!("at {}: a latch open, or one end of a module higher than its neighbours'", around.place()),
                &[(Seating, 0.60)],
            ),
            ("damage", "dirt, a foreign body or a bent pin in a slot".to_string(), &[(Slot, 0.50)]),
            (misplaced.0, misplaced.1.to_string(), misplaced.2),
        ],
        ("nothing", "all looks as it should".to_string()),
    );
    let how = [
        "Look along the row of modules from its end: all at one height, both latches of each closed.",
        "Shine a light into the slots that show it; read the labels of their modules.",
    ];
    let mut deed = watch("look", "Look at modules, latches, slots and labels", &how, 5, told);
    deed.off = true;
    deed.mixed = 1;
    deed
}

pub fn read_counters(_: &Around<'_>) -> Deed {
    let told = answers(
        &[
            (
                "one-address",
                "the same row, column or rank of one module again and again".to_string(),
                &[(Module, 0.60), (Seating, 0.10), (Slot, 0.10)],
            ),
            (
                "whole-channel",
                "several modules of one channel".to_string(),
                &[(Channel, 0.80), (Contact, 0.60), (Processor, 0.40), (Board, 0.20), (Module, 0.03)],
            ),
            (
                "many-channels",
                "modules of several channels".to_string(),
                &[(Board, 0.60), (Processor, 0.40), (Contact, 0.25), (Configuration, 0.60), (Firmware, 0.60)],
            ),
        ],
        ("one-module", "one module, at addresses all over it".to_string()),
    );
    let how = [
        "Read the error counters of every module and controller, with the addresses where the log has them.",
        "In mirror or lockstep modes the hardware can't tell which module of a pair it is.",
    ];
    let mut deed = watch("read-counters", "Read the error counters", &how, 2, told);
    (deed.mixed, deed.quiet) = (2, false);
    deed
}

pub fn exercise(around: &Around<'_>) -> Deed {
    let told = answers(
        &[
            (
                "same-place",
                format!("errors in {} again", around.place()),
                &[
                    (Module, 0.85),
                    (Seating, 0.45),
                    (Slot, 0.60),
                    (Channel, 0.70),
                    (Contact, 0.45),
                    (Processor, 0.40),
                    (Board, 0.30),
                ],
            ),
            (
                "elsewhere",
                "errors in other modules too".to_string(),
                &[(Contact, 0.30), (Processor, 0.40), (Board, 0.50), (Channel, 0.15), (Seating, 0.03)],
            ),
        ],
        ("none", "no errors this time".to_string()),
    );
    let how = [
        "Clear the counters, then exercise all free memory for 15 minutes and read them again.",
        "Modules get hot: let them cool for some minutes before anybody touches them.",
    ];
    let mut deed = watch("exercise", "Exercise the memory, and see where the errors come", &how, 17, told);
    deed.mixed = 1;
    deed
}
