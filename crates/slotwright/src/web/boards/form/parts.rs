//! What the form of a board file asks: its parts, their tables and lists, and the fields of each.

/// What a field holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sort {
    Words,
    /// A sentence or two.
    Long,
    Number,
    /// With commas between.
    WordList,
    /// The same, of many slots.
    SlotList,
    NumberList,
    /// Lists of words, a line each.
    Lanes,
    /// The same, where an empty word stands for a gap.
    Rows,
    /// Lists of numbers, a line each.
    Groups,
    /// One of these words, in quotes.
    Choice(&'static [(&'static str, &'static str)]),
    /// Yes or no.
    Flag,
}

/// How a value may also stand bare, without a table around it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bare {
    Never,
    /// This is the value: of a table it is this key.
    Is(&'static str),
    /// This stands beside such a value, which moves to this key (or goes, if that is empty).
    Beside(&'static str),
}

/// A field: its path below its table, its label and hint.
#[derive(Debug, Clone, Copy)]
pub struct Line {
    pub key: &'static [&'static str],
    pub sort: Sort,
    pub label: &'static str,
    pub hint: &'static str,
    pub bare: Bare,
}

/// A list of tables.
#[derive(Debug, Clone, Copy)]
pub struct Rows {
    /// What one of them is called.
    pub one: &'static str,
    pub lines: &'static [Line],
    /// Fields that are asked less often.
    pub more: &'static [Line],
    /// A list within each.
    pub inner: Option<(&'static str, &'static Rows)>,
}

/// What stands in a part.
#[derive(Debug, Clone, Copy)]
pub enum What {
    Keys(&'static [Line]),
    /// Values with what breaking them does.
    Rulings(&'static str, &'static [Line]),
    Rows(&'static Rows),
    /// Every socket with its slots.
    Sockets,
    /// What is special about each slot.
    Slots,
}

/// A part of the form.
#[derive(Debug, Clone, Copy)]
pub struct Part {
    pub id: &'static str,
    pub title: &'static str,
    pub hint: &'static str,
    /// Each with the path of its table or list.
    pub blocks: &'static [(&'static [&'static str], What)],
}

const fn line(key: &'static [&'static str], sort: Sort, label: &'static str, hint: &'static str) -> Line {
    Line { key, sort, label, hint, bare: Bare::Never }
}

const SEVERITY: Sort = Sort::Choice(&[
    ("wrong", "wrong: does not start, or a part is disabled"),
    ("unsupported", "unsupported: the maker does not stand behind it"),
    ("slower", "slower"),
    ("unproven", "unproven"),
    ("note", "note"),
]);
const OUTCOME: Sort = Sort::Choice(&[
    ("stops", "does not start"),
    ("disables-module", "starts without the module"),
    ("disables-channel", "starts without the channel"),
    ("disables-socket", "starts without the socket's memory"),
    ("disables-mode", "starts without the mode"),
    ("loses-bandwidth", "runs with less bandwidth"),
    ("waits-for-key", "waits for a key"),
    ("nothing-seen", "shows nothing"),
    ("unknown", "not known"),
]);
const MARK: Sort = Sort::Choice(&[
    ("seen", "seen in the source"),
    ("derived", "derived from it"),
    ("memory", "from memory"),
    ("practice", "common practice, no source"),
    ("invented", "invented"),
]);
const CITED: [Line; 2] = [
    line(&["source"], Sort::Words, "Source", "such as: manual, page 46"),
    line(&["mark"], MARK, "How it is known", ""),
];
/// What passing a limit or breaking a ruling does, and where it is written.
pub const BREAKING: [Line; 4] = [
    line(&["severity"], SEVERITY, "Severity", ""),
    line(&["outcome"], OUTCOME, "What the machine does", ""),
    CITED[0],
    CITED[1],
];

const HEAD: &[Line] = &[
    line(&["title"], Sort::Words, "Title", "its name for people"),
    line(&["about"], Sort::Long, "About", "one or two sentences"),
    line(&["source"], Sort::Words, "Source", "the manual, edition and pages"),
    line(&["mark"], MARK, "How it is known", "of every figure that says nothing else"),
    line(
        &["generation"],
        Sort::Choice(&[("DDR3", "DDR3"), ("DDR4", "DDR4"), ("DDR5", "DDR5")]),
        "Generation of memory",
        "",
    ),
    line(&["processors"], Sort::WordList, "Processor families", "with commas between"),
    line(&["kinds"], Sort::WordList, "Kinds of module", "such as RDIMM, LRDIMM"),
    line(
        &["ecc"],
        Sort::Choice(&[("required", "required"), ("optional", "optional")]),
        "ECC",
        "required where nothing is said",
    ),
    line(&["training_minutes"], Sort::Number, "Memory training, minutes", "at first start"),
    line(&["inherit"], Sort::Words, "Inherits", "a board that this one varies; mostly empty"),
];
const LIMITS: &[Line] = &[
    line(&["module"], Sort::Words, "Largest module", "such as 128 GiB"),
    line(&["processor"], Sort::Words, "Most per processor", "such as 1 TiB"),
    line(&["system"], Sort::Words, "Most in all", "such as 2 TiB"),
    line(&["slot_watts"], Sort::Words, "Power of a slot", "such as 15 W"),
    line(&["memory_watts"], Sort::Words, "Power of all memory", "such as 300 W"),
    line(&["height_mm"], Sort::Number, "Tallest module, mm", "such as 31.25"),
    line(&["height_under_heat_sink_mm"], Sort::Number, "Tallest under a heat sink, mm", "such as 18.75"),
];
const RATE: Rows = Rows {
    one: "Rate",
    lines: &[
        line(&["kinds"], Sort::WordList, "Kinds", "such as RDIMM, LRDIMM"),
        line(&["modules_per_channel"], Sort::NumberList, "Modules a channel", "such as 2"),
        line(&["ranks"], Sort::NumberList, "Ranks, least and most", "any if empty"),
        line(&["most"], Sort::Number, "At most, MT/s", "such as 2666"),
    ],
    more: &CITED,
    inner: None,
};
const RANKS: Rows = Rows {
    one: "Limit of ranks",
    lines: &[
        line(&["kinds"], Sort::WordList, "Kinds", "such as RDIMM"),
        line(&["package_ranks"], Sort::Number, "Package ranks", "at most in a channel"),
        line(&["logical_ranks"], Sort::Number, "Logical ranks", "times the height of a 3DS stack"),
        line(&["loads"], Sort::Number, "Electrical loads", "a buffered module is one"),
    ],
    more: &BREAKING,
    inner: None,
};
const FIRMWARE: Rows = Rows {
    one: "Firmware level",
    lines: &[
        line(&["processor"], Sort::Words, "Processor family", "one of these three"),
        line(&["die_gbit"], Sort::Number, "Dies from, Gbit", ""),
        line(&["kind"], Sort::Words, "Kind of module", ""),
        line(&["least"], Sort::Words, "Least level", "as the board shows it"),
    ],
    more: &CITED,
    inner: None,
};
const ALLOWED: &[Line] = &[
    line(&["widths"], Sort::Flag, "x4 beside x8 devices", ""),
    line(&["quad_rank"], Sort::Flag, "Quad-rank with others in a channel", ""),
    line(&["rank_counts"], Sort::Flag, "Different ranks in the machine", ""),
    line(&["densities"], Sort::Flag, "Different die densities", ""),
    line(&["stacks"], Sort::Flag, "Different heights of 3DS stacks", ""),
    line(&["rates"], Sort::Flag, "Different rate bins", ""),
    line(&["ecc_bits"], Sort::Flag, "Different ECC bits", ""),
];
const AT_MOST: &[Line] = &[
    line(&["capacities"], Sort::Number, "Capacities in the machine, at most", "different ones"),
    line(&["capacities_in_channel"], Sort::Number, "Capacities in a channel, at most", "different ones"),
    line(&["rank_counts_in_channel"], Sort::Number, "Rank counts in a channel, at most", "different ones"),
];
const TOGETHER: &[Line] = &[
    line(&["rank_counts_once_full"], Sort::NumberList, "Ranks that mix once every slot is filled", "such as 1, 2"),
    line(&["kinds_together"], Sort::Lanes, "Kinds that may share the machine", "a line a group: RDIMM, RDIMM-3DS"),
];
const ALONE: Rows = Rows {
    one: "Capacity that tolerates no other",
    lines: &[line(&["capacity"], Sort::Words, "Capacity", "such as 128 GiB")],
    more: &BREAKING,
    inner: None,
};
const MODE: Rows = Rows {
    one: "Mode",
    lines: &[
        line(&["name"], Sort::Words, "Name", "such as mirror"),
        Line {
            bare: Bare::Is(""),
            ..line(
                &["usable"],
                Sort::Choice(&[("all", "all of it"), ("half", "half of it")]),
                "Usable",
                "or less by one of these two",
            )
        },
        Line {
            bare: Bare::Beside(""),
            ..line(&["usable", "less_ranks"], Sort::Number, "Spare ranks of a channel", "such as 1")
        },
        Line {
            bare: Bare::Beside(""),
            ..line(&["usable", "less_percent"], Sort::Number, "Lost, percent", "such as 25")
        },
        line(&["counts"], Sort::NumberList, "Modules per processor", "any if empty"),
        line(&["alike"], Sort::Groups, "Pairs or groups filled alike", "a line a group of channels, from 0: 0, 3"),
    ],
    more: &[
        line(&["ranks_least"], Sort::Number, "Ranks of a channel, at least", ""),
        line(&["width"], Sort::Number, "Width of devices", "4 or 8; any if empty"),
        line(&["ecc_bits"], Sort::Number, "ECC bits", "of a channel; DDR5: of a sub-channel"),
        line(&["identical"], Sort::Flag, "All modules of a processor alike", ""),
        line(&["not_with_numa"], Sort::WordList, "Not with these NUMA modes", ""),
        CITED[0],
        CITED[1],
    ],
    inner: None,
};
const FILL: Rows = Rows {
    one: "Row",
    lines: &[
        line(&["count"], Sort::Number, "Modules", ""),
        line(&["slots"], Sort::SlotList, "Slots to fill", ""),
        line(
            &["verdict"],
            Sort::Choice(&[
                ("supported", "supported"),
                ("not-advised", "not advised"),
                ("not-supported", "not supported"),
            ]),
            "The manual says",
            "",
        ),
        line(&["why"], Sort::Words, "Why", ""),
    ],
    more: &[],
    inner: None,
};
const CHART: Rows = Rows {
    one: "Chart",
    lines: &[
        line(&["mode"], Sort::Words, "Mode", "independent if empty"),
        line(&["socket"], Sort::Words, "Socket", "all alike if empty"),
        line(&["ranks"], Sort::Number, "Package ranks", "any if empty"),
        line(&["order"], Sort::SlotList, "Slots in the order to fill", "of one processor, with commas between"),
        line(&["closed"], Sort::Flag, "Other counts are ruled out", "no if empty"),
    ],
    more: &BREAKING,
    inner: Some(("fill", &FILL)),
};
const RULINGS: &[Line] = &[
    line(&["blanks"], Sort::Flag, "Blanks in empty slots are required", ""),
    line(&["first_slot_first"], Sort::Flag, "A channel's first slot is filled first", "yes if empty"),
];
const LAYOUT: &[Line] = &[
    line(
        &["air"],
        Sort::Choice(&[("front-to-back", "front to back"), ("back-to-front", "back to front")]),
        "Air moves",
        "",
    ),
    line(
        &["rows"],
        Sort::Rows,
        "Rows from the back to the front",
        "a line a row, from left to right: slot labels, #name for a socket, nothing between two commas for a gap",
    ),
];

/// The form, in the order of the guide to the files.
pub const PARTS: [Part; 12] = [
    Part { id: "head", title: "What it is", hint: "", blocks: &[(&[], What::Keys(HEAD))] },
    Part {
        id: "sockets",
        title: "Sockets and slots",
        hint: "A line a channel: its slots with commas between, the one to fill first at the front, which is mostly the farthest from the processor.",
        blocks: &[(&["socket"], What::Sockets)],
    },
    Part {
        id: "slots",
        title: "Single slots",
        hint: "Only where a slot differs: tabs as seen, less room above.",
        blocks: &[(&["slot"], What::Slots)],
    },
    Part {
        id: "rates",
        title: "Data rates",
        hint: "Only where the board lowers the processor's.",
        blocks: &[(&["rate"], What::Rows(&RATE))],
    },
    Part { id: "limits", title: "Limits", hint: "", blocks: &[(&["limits"], What::Rulings("most", LIMITS))] },
    Part {
        id: "ranks",
        title: "Ranks of a channel",
        hint: "What a channel takes at most.",
        blocks: &[(&["channel_ranks"], What::Rows(&RANKS))],
    },
    Part {
        id: "firmware",
        title: "Firmware levels",
        hint: "",
        blocks: &[
            (
                &["firmware"],
                What::Keys(&[line(
                    &["order"],
                    Sort::Choice(&[
                        ("dotted", "number by number: 2.9, 2.10"),
                        ("text", "letter by letter: BW07, BX01"),
                    ]),
                    "Levels compare",
                    "",
                )]),
            ),
            (&["firmware", "need"], What::Rows(&FIRMWARE)),
        ],
    },
    Part {
        id: "mixing",
        title: "Mixing",
        hint: "What the manual does not speak of stays empty: it counts as unsaid, not as allowed.",
        blocks: &[
            (&["mixing"], What::Rulings("allowed", ALLOWED)),
            (&["mixing"], What::Rulings("most", AT_MOST)),
            (&["mixing"], What::Keys(TOGETHER)),
            (&["mixing", "alone"], What::Rows(&ALONE)),
        ],
    },
    Part {
        id: "modes",
        title: "RAS modes, pairs and mirrors",
        hint: "Beside independent, which every board has.",
        blocks: &[(&["mode"], What::Rows(&MODE))],
    },
    Part {
        id: "charts",
        title: "Population charts",
        hint: "Which slots for so many modules of one processor. The first socket's slots stand for those of the others.",
        blocks: &[(&["chart"], What::Rows(&CHART))],
    },
    Part {
        id: "rulings",
        title: "Other rulings",
        hint: "",
        blocks: &[(&["rulings"], What::Rulings("required", RULINGS))],
    },
    Part {
        id: "layout",
        title: "The drawing",
        hint: "As seen from the front of the open machine. Drawn by channels where nothing is said.",
        blocks: &[(&["layout"], What::Keys(LAYOUT))],
    },
];
