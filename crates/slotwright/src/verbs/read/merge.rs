//! Several pieces of evidence about one module, put together.

use super::view::InputView;
use super::{Content, Heap, Piece};

/// Which input stands for them all: the one that tells most.
const ORDER: [&str; 3] = ["spd", "label", "part-number"];

impl Heap {
    /// Takes all modules for one; machines stay as they are.
    pub(super) fn join(&mut self) {
        let mut joined: Option<(Vec<InputView>, Piece)> = None;
        let mut rest = Vec::new();
        for piece in std::mem::take(&mut self.pieces) {
            let Piece { input, evidence, content, notes } = piece;
            let Content::Module(given, quantity) = content else {
                rest.push(Piece { input, evidence, content, notes });
                continue;
            };
            match &mut joined {
                None => {
                    let content = Content::Module(given, quantity);
                    joined = Some((evidence.clone(), Piece { input, evidence, content, notes }));
                }
                Some((inputs, whole)) => {
                    inputs.extend(evidence);
                    whole.notes.extend(notes);
                    if let Content::Module(all, _) = &mut whole.content {
                        all.extend(given.into_iter().filter(|g| !all.contains(g)).collect::<Vec<_>>());
                    }
                }
            }
        }
        if let Some((inputs, mut whole)) = joined {
            let rank = |i: &InputView| ORDER.iter().position(|o| *o == i.input).unwrap_or(ORDER.len());
            if let Some(best) = inputs.iter().min_by_key(|i| rank(i)) {
                whole.input.input.clone_from(&best.input);
            }
            whole.input.from = inputs.iter().map(|i| i.from.as_str()).collect::<Vec<_>>().join(", ");
            whole.evidence = inputs;
            self.pieces.push(whole);
        }
        self.pieces.extend(rest);
    }
}
