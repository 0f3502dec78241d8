//! Tests that exchange parts or change settings: spare module, settings, firmware, processors, board.

use super::{Deed, answers, by, gone, stays};
use crate::diagnose::around::Around;
use domain::fault::Cause::{Board, Channel, Configuration, Contact, Firmware, Module, Processor, Seating, Slot};
use domain::fault::Sign;
use domain::quantity::Minutes;

fn blank(around: &Around<'_>, name: &'static str, title: &str, minutes: u32, how: &[&str]) -> Deed {
    Deed {
        name,
        title: title.to_string(),
        how: how.iter().map(ToString::to_string).collect(),
        hands: Minutes::new(minutes),
        starts: true,
        off: true,
        processor: false,
        risk: ("small", 0.0),
        cures: by(&[]),
        gone: gone(around),
        answers: answers(&[], ("stays", stays(around))),
        mixed: 0,
        quiet: false,
    }
}

pub fn fit_spare(around: &Around<'_>) -> Deed {
    let (title, more) = match around.symptom.slots.len() {
        0 | 1 => (format!("Fit a spare module known to be good in {}", around.label(around.suspect)), 0),
        n => (format!("Fit spare modules known to be good: {}", around.place()), n as u32 / 2),
    };
    let how = [
        "Take a spare of the same label that has run without fault, from the shelf and not from this machine.",
        "Note the serial number of the module that comes out.",
    ];
    let mut deed = blank(around, "fit-spare", &title, 5 + more, &how);
    deed.cures = by(&[(Seating, 0.95), (Module, 0.99), (Slot, 0.05)]);
    deed
}

pub fn mend_build(around: &Around<'_>) -> Deed {
    let how = [
        "Put every module where the plan has it, and the settings as the plan says.",
        "Switch on again what the log says is switched off, then clear the log.",
    ];
    let mut deed = blank(around, "mend-build", "Put places and settings right", 6, &how);
    deed.cures = by(&[(Configuration, 0.95), (Seating, 0.20), (Firmware, 0.05)]);
    if around.symptom.sign == Sign::Slow {
        deed.cures[Module.number()] = 0.30;
    }
    deed
}

pub fn clear_settings(around: &Around<'_>) -> Deed {
    let how = [
        "Write down or save the settings first.",
        "Set the firmware to its defaults as the board's manual says; then only what the plan needs.",
    ];
    let mut deed = blank(around, "clear-settings", "Clear the firmware's settings", 4, &how);
    deed.risk = ("settings of disks and start order are lost: save them, or the customer's system may not start", 2.0);
    deed.cures = by(&[(Configuration, 0.55), (Firmware, 0.05)]);
    deed
}

pub fn update_firmware(around: &Around<'_>) -> Deed {
    let how = [
        "Read the levels that these processors and modules need: `slotwright check` names them.",
        "Update by the maker's procedure; never cut the power while it writes.",
    ];
    let mut deed = blank(around, "update-firmware", "Update the firmware", 15, &how);
    deed.off = false;
    deed.risk = ("a board that does not start any more if it is interrupted", 3.0);
    deed.cures = by(&[(Firmware, 0.90), (Configuration, 0.10)]);
    deed
}

const LIFT: &[&str] = &[
    "Take the heat sink and processor off by the board's manual.",
    "Look at the socket's contacts with a magnifier from several sides: all in line, none bent, dark or wet.",
    "Clean the processor's pads; new thermal paste; tighten in the maker's order and to the maker's torque.",
];

pub fn reseat_processor(around: &Around<'_>) -> Deed {
    let title = format!("Seat the processor of socket {} again, and look at its contacts", name(around));
    let mut deed = blank(around, "reseat-processor", &title, 21, LIFT);
    deed.processor = true;
    deed.risk = ("a contact of the socket can be bent, which costs the board", 10.0);
    deed.cures = by(&[(Contact, 0.60)]);
    deed.answers = answers(
        &[("damage", "a contact is bent, missing or burnt".to_string(), &[(Contact, 0.70)])],
        ("stays", stays(around)),
    );
    deed
}

fn name(around: &Around<'_>) -> String {
    around.socket_name(around.socket).to_string()
}

pub fn exchange_processors(around: &Around<'_>) -> Option<Deed> {
    let other = around.socket_name(*around.twin_sockets.first()?).to_string();
    let own = name(around);
    let title = format!("Exchange the processors of sockets {own} and {other}");
    let mut deed = blank(around, "exchange-processors", &title, 31, LIFT);
    deed.processor = true;
    deed.risk = ("contacts of two sockets can be bent, which costs the board", 15.0);
    deed.cures = by(&[(Contact, 0.60)]);
    let moves = if around.symptom.sign == Sign::NoBoot {
        format!("it fails in another way: now socket {other} is the one that fails")
    } else {
        format!("now the same shows at socket {other}: it went with the processor")
    };
    deed.answers = answers(
        &[
            ("moves", moves, &[(Processor, 0.95)]),
            ("damage", "a contact is bent, missing or burnt".to_string(), &[(Contact, 0.70)]),
        ],
        ("stays", stays(around)),
    );
    deed.mixed = 2;
    Some(deed)
}

pub fn new_processor(around: &Around<'_>) -> Deed {
    let title = format!("Fit another processor in socket {}", name(around));
    let mut deed = blank(around, "new-processor", &title, 25, LIFT);
    deed.processor = true;
    deed.risk = ("a contact of the socket can be bent, which costs the board", 20.0);
    deed.cures = by(&[(Processor, 0.98), (Contact, 0.60)]);
    deed.answers = answers(
        &[("damage", "a contact is bent, missing or burnt".to_string(), &[(Contact, 0.70)])],
        ("stays", stays(around)),
    );
    deed
}

pub fn new_board(around: &Around<'_>) -> Deed {
    let how = [
        "Move everything to another board by the manual: modules to the same slots, processors last.",
        "Keep the old board's firmware level and settings at hand; serial and service numbers may have to be carried over.",
    ];
    let mut deed = blank(around, "new-board", "Exchange the board", 75, &how);
    deed.processor = true;
    deed.risk = ("all parts are moved: contacts, cables, the order of disks", 20.0);
    deed.cures = by(&[
        (Seating, 0.90),
        (Slot, 0.99),
        (Channel, 0.99),
        (Contact, 0.97),
        (Board, 0.99),
        (Configuration, 0.50),
        (Firmware, 0.40),
    ]);
    deed
}
