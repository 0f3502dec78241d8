//! March tests that were published, each with where. The sequences are from memory of these works unless said otherwise;
//! the lengths of all but March Y, March U, March LR and March RAW were seen printed.

use super::March;

/// A published march test.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Known {
    /// As the literature has it.
    pub name: &'static str,
    /// In signs that every terminal has.
    pub sequence: &'static str,
    /// The work that it comes from, and how it is known here.
    pub citation: &'static str,
}

/// Where most of them are printed.
const GOOR: &str = "van de Goor, Testing Semiconductor Memories, 1991 (from memory)";
const HAMDIOUI: &str = "Hamdioui, van de Goor, Rodgers, March SS, 2002 (from memory)";

/// All of them, by length.
pub const KNOWN: [Known; 14] = [
    Known { name: "MATS", sequence: "{b(w0); b(r0,w1); b(r1)}", citation: GOOR },
    Known { name: "MATS+", sequence: "{b(w0); u(r0,w1); d(r1,w0)}", citation: GOOR },
    Known { name: "MATS++", sequence: "{b(w0); u(r0,w1); d(r1,w0,r0)}", citation: GOOR },
    Known { name: "March X", sequence: "{b(w0); u(r0,w1); d(r1,w0); b(r0)}", citation: GOOR },
    Known { name: "March Y", sequence: "{b(w0); u(r0,w1,r1); d(r1,w0,r0); b(r0)}", citation: GOOR },
    Known { name: "March C-", sequence: "{b(w0); u(r0,w1); u(r1,w0); d(r0,w1); d(r1,w0); b(r0)}", citation: GOOR },
    Known {
        name: "March U",
        sequence: "{b(w0); u(r0,w1,r1,w0); u(r0,w1); d(r1,w0,r0,w1); d(r1,w0)}",
        citation: "van de Goor, Gaydadjiev, March U, 1997 (from memory)",
    },
    Known {
        name: "March C+",
        sequence: "{b(w0); u(r0,w1,r1); u(r1,w0,r0); d(r0,w1,r1); d(r1,w0,r0); b(r0)}",
        citation: "March C- that reads after each write; what it misses as Wang and others, 2016, say (from memory)",
    },
    Known {
        name: "March LR",
        sequence: "{b(w0); d(r0,w1); u(r1,w0,r0,w1); u(r1,w0); u(r0,w1,r1,w0); u(r0)}",
        citation: "van de Goor, Gaydadjiev, Jarmolik, Mikitjuk, March LR, 1996 (from memory)",
    },
    Known {
        name: "March SR",
        sequence: "{d(w0); u(r0,w1,r1,w0); u(r0,r0); u(w1); d(r1,w0,r0,w1); d(r1,r1)}",
        citation: "Hamdioui, van de Goor, 2000 (from memory)",
    },
    Known {
        name: "March A",
        sequence: "{b(w0); u(r0,w1,w0,w1); u(r1,w0,w1); d(r1,w0,w1,w0); d(r0,w1,w0)}",
        citation: "Suk, Reddy, 1981, as van de Goor 1991 prints it (from memory)",
    },
    Known {
        name: "March B",
        sequence: "{b(w0); u(r0,w1,r1,w0,r0,w1); u(r1,w0,w1); d(r1,w0,w1,w0); d(r0,w1,w0)}",
        citation: "Suk, Reddy, 1981, as van de Goor 1991 prints it (from memory)",
    },
    Known {
        name: "March SS",
        sequence: "{b(w0); u(r0,r0,w0,r0,w1); u(r1,r1,w1,r1,w0); d(r0,r0,w0,r0,w1); d(r1,r1,w1,r1,w0); b(r0)}",
        citation: HAMDIOUI,
    },
    Known {
        name: "March RAW",
        sequence: "{b(w0); u(r0,w0,r0,r0,w1,r1); u(r1,w1,r1,r1,w0,r0); d(r0,w0,r0,r0,w1,r1); d(r1,w1,r1,r1,w0,r0); b(r0)}",
        citation: "Hamdioui, Al-Ars, van de Goor, 2002 (from memory)",
    },
];

/// A published test by its name, in any case and with or without `March` and blanks.
pub fn known(name: &str) -> Option<Known> {
    let bare = |text: &str| {
        let low: String = text.to_lowercase().chars().filter(|c| !c.is_whitespace() && *c != '_').collect();
        low.strip_prefix("march").map(|rest| rest.trim_start_matches('-').to_string()).unwrap_or(low)
    };
    let wanted = bare(name);
    KNOWN.into_iter().find(|k| bare(k.name) == wanted)
}

impl Known {
    /// The test itself; `None` never, as a test of this file holds.
    pub fn march(&self) -> Option<March> {
        March::parse(self.sequence).ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sequence_reads_and_every_name_is_found() {
        for test in KNOWN {
            assert!(test.march().is_some(), "{}", test.name);
            assert_eq!(known(test.name), Some(test));
        }
        assert_eq!(known("c-").map(|k| k.name), Some("March C-"));
        assert_eq!(known("c+").map(|k| k.name), Some("March C+"));
        assert_eq!(known("march ss").map(|k| k.name), Some("March SS"));
        assert_eq!(known("march-lr").map(|k| k.name), Some("March LR"));
        assert_eq!(known("Z"), None);
    }
}
