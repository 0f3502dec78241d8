//! A slot's name taken apart: words of the trade, letters and numbers, each with the word before it.

/// What a piece is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    Letter,
    Number,
    /// A word that means nothing to us.
    Word,
}

/// A letter, a number or a strange word, with the word of the trade that stands before it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Piece {
    /// Upper case; empty where no word stands directly before it.
    pub label: String,
    pub kind: Kind,
    /// Upper case.
    pub text: String,
    /// Does it touch the piece before it?
    pub glued: bool,
}

/// Words that say what the letter or number after them counts. Trade words and SMBIOS habits; no source.
const WORDS: [&str; 24] = [
    "CONTROLLER",
    "PROCESSOR",
    "CHANNEL",
    "SODIMM",
    "SOCKET",
    "MODULE",
    "SRCID",
    "RISER",
    "CHAN",
    "PROC",
    "DIMM",
    "NODE",
    "BANK",
    "SLOT",
    "BOARD",
    "CARD",
    "CPU",
    "SKT",
    "DIM",
    "IMC",
    "MCU",
    "MC",
    "CH",
    "HA",
];

/// What firmware writes where it has no name to give.
const BLANKS: [&str; 15] = [
    "NO DIMM",
    "NOT SPECIFIED",
    "UNKNOWN",
    "N/A",
    "NA",
    "NONE",
    "EMPTY",
    "UNSPECIFIED",
    "OTHER",
    "NULL",
    "NO MODULE",
    "NOT PRESENT",
    "NOT INSTALLED",
    "NO MODULE INSTALLED",
    "NOT AVAILABLE",
];

/// Is it no name at all?
pub fn is_blank(text: &str) -> bool {
    let bare: String = text.chars().filter(|c| c.is_alphanumeric() || matches!(c, ' ' | '/')).collect();
    let bare = bare.trim().to_uppercase();
    let bare = bare.split_whitespace().collect::<Vec<_>>().join(" ");
    bare.is_empty() || BLANKS.contains(&bare.as_str())
}

/// Takes a name apart; nothing of a name that is none.
pub fn pieces(text: &str) -> Vec<Piece> {
    let mut found: Vec<Piece> = Vec::new();
    if is_blank(text) {
        return found;
    }
    let mut label = String::new();
    let mut glued = false;
    for run in runs(text) {
        match run {
            Run::Gap => glued = false,
            Run::Digits(text) => {
                found.push(Piece { label: std::mem::take(&mut label), kind: Kind::Number, text, glued });
                glued = true;
            }
            Run::Letters(text) => {
                for part in parts(&text) {
                    match part {
                        Part::Word(word) => label = word.to_string(),
                        Part::Letter(text) | Part::Strange(text) => {
                            let kind = if text.len() == 1 { Kind::Letter } else { Kind::Word };
                            found.push(Piece { label: std::mem::take(&mut label), kind, text, glued });
                        }
                    }
                    glued = true;
                }
            }
        }
    }
    found
}

enum Run {
    Letters(String),
    Digits(String),
    Gap,
}

fn runs(text: &str) -> Vec<Run> {
    let mut runs = Vec::new();
    for c in text.chars() {
        let upper = c.to_ascii_uppercase();
        match (runs.last_mut(), c) {
            (Some(Run::Digits(run)), _) if c.is_ascii_digit() => run.push(c),
            (Some(Run::Letters(run)), _) if c.is_ascii_alphabetic() => run.push(upper),
            (_, _) if c.is_ascii_digit() => runs.push(Run::Digits(c.to_string())),
            (_, _) if c.is_ascii_alphabetic() => runs.push(Run::Letters(upper.to_string())),
            (Some(Run::Gap), _) => {}
            _ => runs.push(Run::Gap),
        }
    }
    runs
}

enum Part {
    Word(&'static str),
    Letter(String),
    Strange(String),
}

/// `DIMMA` is a word and a letter, `DIMCH` two words; what does not come out even is one strange word.
fn parts(run: &str) -> Vec<Part> {
    let mut rest = run;
    let mut parts = Vec::new();
    while !rest.is_empty() {
        if let Some((word, after)) = WORDS.iter().find_map(|w| rest.strip_prefix(w).map(|after| (*w, after))) {
            parts.push(Part::Word(word));
            rest = after;
        } else if rest.len() == 1 {
            parts.push(Part::Letter(rest.to_string()));
            rest = "";
        } else {
            return vec![Part::Strange(run.to_string())];
        }
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(text: &str) -> String {
        let one = |p: &Piece| format!("{}:{}", p.label, p.text);
        pieces(text).iter().map(one).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn names_come_apart_at_words_letters_and_numbers() {
        assert_eq!(told("P1-DIMMA1"), ":P :1 DIMM:A :1");
        assert_eq!(told("ChannelB_Dimm2"), "CHANNEL:B DIMM:2");
        assert_eq!(told("P0_MC1_DIM_CH_D0"), ":P :0 MC:1 CH:D :0");
        assert_eq!(told("PROC  2 DIMM  12 "), "PROC:2 DIMM:12");
        assert_eq!(told("DIMM010 J21"), "DIMM:010 :J :21");
        assert_eq!(told("MemTray 3"), ":MEMTRAY :3");
    }

    #[test]
    fn placeholders_are_no_names() {
        for text in ["NO DIMM", " | ", "Not Specified", "[Empty]", "n/a", ""] {
            assert!(is_blank(text), "{text}");
            assert!(pieces(text).is_empty(), "{text}");
        }
        assert!(!is_blank("DIMM"));
    }
}
