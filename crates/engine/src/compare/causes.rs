//! Likely causes of a difference, in the order in which to think of them.
//!
//! The order is common practice, no source, unless a cause says otherwise; the next act comes from diagnosis.

use super::What;

/// One likely cause.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cause {
    pub what: String,
    /// Why it comes to mind, or how it shows.
    pub why: String,
    /// Where that is from.
    pub mark: &'static str,
}

const PRACTICE: &str = "common practice, no source";

fn cause(what: &str, why: &str) -> Cause {
    Cause { what: what.to_string(), why: why.to_string(), mark: PRACTICE }
}

/// What is known around a difference that changes the order of its causes.
#[derive(Debug, Clone, Copy, Default)]
pub struct Around {
    /// Other modules of the same channel are seen.
    pub channel_alive: bool,
    /// The same socket's processor is reported as absent.
    pub processor_absent: bool,
    /// All processors that were planned are reported as present.
    pub processors_seen: bool,
    /// The same part in a smaller size: a rank lost rather than another module.
    pub same_part: bool,
}

/// The causes of a difference of one slot or group.
pub fn of(what: What, around: Around) -> Vec<Cause> {
    match what {
        What::Missing | What::Disabled => missing(what, around),
        What::ChannelGone => vec![
            cause("not fully seated", "one module that is not seated can take its whole channel with it"),
            cause("a contact of the processor socket", "a bent or dirty contact cuts one channel off and nothing else"),
            cause("a bad module", "one that pulls the channel down; try each alone"),
            cause("the channel's slots or traces on the board", "where other modules fail in the same slots"),
            cause("switched off by the firmware after errors", "its event log says so; clear it after the repair"),
        ],
        What::ControllerGone => vec![
            cause("the processor's seat", "contacts of one side of the socket serve one controller"),
            cause("a contact of the processor socket", "bent or dirty; look under the light, never straighten one"),
            cause("a firmware setting", "a controller or NUMA part can be switched off"),
            cause("the processor", "exchange it with the other socket's; the fault moves with it"),
        ],
        What::SocketGone | What::ProcessorMissing => gone(around),
        What::Swapped | What::WrongSlot => vec![
            cause("put into the other slot at the bench", "the pick list and the slot labels were crossed"),
            cause("the names of two slots are crossed in the firmware", "where the label on the board is right"),
        ],
        What::Smaller | What::Larger => smaller(what, around),
        What::DifferentKind | What::DifferentPart | What::DifferentModule => vec![
            cause("another module was picked", "compare its label with the pick list"),
            cause("its SPD says something else than its label", "read the module's SPD and screen it"),
        ],
        What::Unexpected => vec![
            cause("more was fitted than planned", "a module left in from before, or a spare"),
            cause("a slot counted wrongly at the bench", "then another one is missing"),
        ],
        What::Slower | What::Errors => Vec::new(),
    }
}

fn missing(what: What, around: Around) -> Vec<Cause> {
    let mut causes = Vec::new();
    if what == What::Disabled {
        causes.push(cause(
            "put out of use by the firmware",
            "after a training fault or errors; its event log says which",
        ));
    }
    causes.push(cause("not fully seated", "the commonest by far: press both ends until both latches close"));
    causes.push(cause("a dirty or damaged contact of the module or slot", "clean the edge, look into the slot"));
    causes.push(cause("a bad module", "it fails in another slot too"));
    causes.push(cause("a bad slot", "another module fails in it too"));
    if !around.channel_alive {
        causes.push(cause("a contact of the processor socket", "nothing else of this channel is seen either"));
    }
    causes.push(cause("not supported in this place", "the firmware leaves it out: see what `check` says of the build"));
    causes.push(cause("forgotten at the bench", "the slot is empty"));
    causes
}

fn gone(around: Around) -> Vec<Cause> {
    let mixed = cause("no module of this socket trains", "mixed kinds, or a place that the board does not allow");
    if around.processors_seen {
        return vec![
            cause(
                "a contact of the processor socket",
                "the processor is seen, its memory is not; never straighten one",
            ),
            mixed,
            cause("the power of this socket's memory", "a regulator or cable that serves these slots alone"),
            cause("a firmware setting", "memory of a socket can be switched off, after errors too"),
            cause("the processor", "exchange it with the other socket's; the fault moves with it"),
        ];
    }
    let mut causes = vec![
        cause("the processor is not seated or not there", "its socket and all its memory are lost with it"),
        cause("a contact of the processor socket", "bent or dirty; never straighten one"),
        cause("the processor's power", "a power cable of the second socket left off"),
        cause("the firmware does not know this processor", "update it before the exchange"),
        cause("the processor", "exchange it with the other socket's; the fault moves with it"),
    ];
    if !around.processor_absent {
        causes.push(mixed);
    }
    causes
}

fn smaller(what: What, around: Around) -> Vec<Cause> {
    let another = cause("another module was picked", "compare its label with the pick list");
    let spd = cause("its SPD says another size than its label", "read the module's SPD and screen it");
    match (what, around.same_part) {
        (What::Smaller, true) => vec![
            cause("a rank that did not train", "the module is seen with part of its ranks"),
            cause("not fully seated", "one end up: some data lines or a chip select make no contact"),
            cause("a firmware limit or setting", "mapped out ranks, rank sparing, an address limit"),
            spd,
        ],
        _ => vec![another, spd],
    }
}
