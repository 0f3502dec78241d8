//! What is seen: the symptom, and the slots that show it.

use crate::compare::{Difference, What};
use domain::board::SlotIndex;
use domain::fault::Sign;
use domain::{Board, Build};

/// A symptom with its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Symptom {
    pub sign: Sign,
    /// The filled slots that show it, in board order; all of them where the whole machine does.
    pub slots: Vec<SlotIndex>,
}

impl Symptom {
    /// A sign at some slots: of a channel or processor that is missing, any slot or all of them may be given. `None`
    /// where none of the slots is filled, or where several are given that do not belong together.
    pub fn at(build: &Build, sign: Sign, slots: &[SlotIndex]) -> Option<Self> {
        let board: &Board = &build.board;
        let first = slots.first().and_then(|s| board.slots.get(s.at())).map(|s| s.address);
        let belongs = |index: SlotIndex| {
            let (Some(slot), Some(first)) = (board.slots.get(index.at()), first) else { return sign.is_everywhere() };
            let at = slot.address;
            match sign {
                Sign::NoBoot | Sign::Slow => true,
                Sign::MissingProcessor => at.socket == first.socket,
                Sign::MissingChannel => {
                    (at.socket, at.controller, at.channel) == (first.socket, first.controller, first.channel)
                }
                _ => slots.contains(&index),
            }
        };
        let whole = slots.iter().all(|s| belongs(*s));
        let filled: Vec<SlotIndex> = build.filled().map(|(s, _)| s).filter(|s| belongs(*s)).collect();
        let one = matches!(sign, Sign::MissingModule | Sign::WrongSize | Sign::Uncorrectable) && filled.len() > 1;
        (whole && !one && !filled.is_empty()).then_some(Self { sign, slots: filled })
    }
    /// The symptom that a difference is; `None` where it is none (a mix-up at the bench), or where its slots are not of
    /// this build.
    pub fn of(difference: &Difference, build: &Build) -> Option<Self> {
        let sign = match difference.what {
            What::SocketGone | What::ProcessorMissing | What::ControllerGone => Sign::MissingProcessor,
            What::ChannelGone => Sign::MissingChannel,
            What::Missing | What::Disabled => Sign::MissingModule,
            What::Smaller => Sign::WrongSize,
            What::Slower => Sign::Slow,
            What::Errors if difference.seen.contains(", 0 uncorrected") => Sign::Correctable,
            What::Errors => Sign::Uncorrectable,
            What::Swapped
            | What::WrongSlot
            | What::DifferentKind
            | What::Larger
            | What::DifferentPart
            | What::DifferentModule
            | What::Unexpected => return None,
        };
        let named = difference.slots.iter().filter_map(|name| build.board.slot_by_label(name));
        let mut slots: Vec<SlotIndex> = named.collect();
        if slots.is_empty() {
            let at = difference.at;
            let here = |s: &domain::Slot| at.is_some_and(|a| a.socket == s.address.socket);
            slots = build.board.indexed().filter(|(_, s)| here(s)).map(|(i, _)| i).collect();
        }
        Self::at(build, sign, &slots)
    }
}
