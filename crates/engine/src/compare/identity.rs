//! Whether a module that is seen is the one that was planned: only what both sides tell is compared.

use super::What;
use domain::Capacity;
use domain::module::Kind;
use domain::reading::{ModuleReading, Text};

/// What two readings disagree on.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Unlike {
    pub kind: bool,
    pub smaller: bool,
    pub larger: bool,
    pub part: bool,
    pub ranks: bool,
    pub rated: bool,
    pub maker: bool,
    pub serial: bool,
}

impl Unlike {
    /// Nothing that both tell differs.
    pub fn none(self) -> bool {
        self == Self::default()
    }
    /// The word for it, the gravest first; `None` where only the rated rate differs or nothing does.
    pub fn what(self) -> Option<What> {
        [
            (self.kind, What::DifferentKind),
            (self.smaller, What::Smaller),
            (self.larger, What::Larger),
            (self.part || self.ranks, What::DifferentPart),
            (self.maker || self.serial, What::DifferentModule),
        ]
        .into_iter()
        .find_map(|(holds, what)| holds.then_some(what))
    }
}

/// What differs between a planned and a seen module.
pub fn unlike(planned: &ModuleReading, seen: &ModuleReading) -> Unlike {
    let part = both(text(&planned.part_number), text(&seen.part_number)).map(|(a, b)| !same_part(&a, &b));
    let serial = both(text(&planned.serial), text(&seen.serial)).map(|(a, b)| !same_serial(&a, &b));
    let capacity = both(planned.capacity, seen.capacity).map(|(a, b)| (mapped(a), mapped(b)));
    let name = |r: &ModuleReading| r.maker.as_ref().and_then(|m| text(&m.name));
    let id = |r: &ModuleReading| r.maker.as_ref().and_then(|m| m.id);
    let maker = match both(id(planned), id(seen)) {
        Some((a, b)) => a != b,
        None => both(name(planned), name(seen)).is_some_and(|(a, b)| !a.contains(&b) && !b.contains(&a)),
    };
    Unlike {
        kind: both(planned.generation, seen.generation).is_some_and(|(a, b)| a != b)
            || both(planned.kind, seen.kind).is_some_and(|(a, b)| base(a) != base(b)),
        smaller: capacity.is_some_and(|(a, b)| b < a),
        larger: capacity.is_some_and(|(a, b)| b > a),
        part: part.unwrap_or(false),
        ranks: ranks_differ(planned, seen),
        rated: both(planned.rate, seen.rate).is_some_and(|(a, b)| a != b),
        // A part number says more than a maker's name, which is spelt in many ways.
        maker: part.is_none() && maker,
        serial: serial.unwrap_or(false),
    }
}

/// Is it the same article or the very module, whatever else differs?
pub fn same_article(planned: &ModuleReading, seen: &ModuleReading) -> bool {
    match both(text(&planned.serial), text(&seen.serial)) {
        Some((a, b)) => same_serial(&a, &b),
        None => both(text(&planned.part_number), text(&seen.part_number)).is_some_and(|(a, b)| same_part(&a, &b)),
    }
}

/// Do both tell, or both keep back, their part number and their serial?
pub fn tell_alike(a: &ModuleReading, b: &ModuleReading) -> bool {
    let told = |r: &ModuleReading| (text(&r.part_number).is_some(), text(&r.serial).is_some());
    told(a) == told(b)
}

/// Machines report stacks as ranks, and some ranks as package ranks: either figure is accepted.
fn ranks_differ(planned: &ModuleReading, seen: &ModuleReading) -> bool {
    let figures = |r: &ModuleReading| [r.package_ranks, r.logical_ranks()];
    match both(planned.package_ranks, seen.package_ranks) {
        Some(_) => !figures(planned).iter().any(|p| figures(seen).contains(p)),
        None => false,
    }
}

/// A machine may keep a little back: less than a sixteenth below a whole GiB figure counts as that figure.
fn mapped(capacity: Capacity) -> u64 {
    let (mib, step) = (capacity.mib(), 1024);
    let up = mib.div_ceil(step) * step;
    if up - mib <= up / 16 { up } else { mib }
}

/// What a report can tell of a kind: it does not tell stacks.
fn base(kind: Kind) -> Kind {
    match kind {
        Kind::Rdimm3ds => Kind::Rdimm,
        Kind::Lrdimm3ds => Kind::Lrdimm,
        other => other,
    }
}

fn both<T>(a: Option<T>, b: Option<T>) -> Option<(T, T)> {
    a.zip(b)
}

/// A text without blanks and case; `None` where it is blank or stands for nothing.
pub fn text(value: &Option<Text>) -> Option<String> {
    const NOTHING: [&str; 8] =
        ["UNKNOWN", "NOTSPECIFIED", "NONE", "N/A", "NA", "NODIMM", "EMPTY", "TOBEFILLEDBYO.E.M."];
    let plain: String = value.as_ref()?.chars().filter(|c| !c.is_whitespace()).collect::<String>().to_uppercase();
    let blank = plain.chars().all(|c| matches!(c, '0' | 'F' | '-' | '.' | '_'));
    (!blank && !NOTHING.contains(&plain.as_str())).then_some(plain)
}

/// Reports cut part numbers at the end and add a customer's suffix: one may begin with the other, past ten characters.
fn same_part(a: &str, b: &str) -> bool {
    let (short, long) = if a.len() <= b.len() { (a, b) } else { (b, a) };
    a == b || (short.len() >= 10 && long.starts_with(short))
}

/// A long serial (maker, place, date, serial) ends with the short one.
/// Are these serial numbers one? `None` where not both tell theirs.
pub fn same_serials(a: &ModuleReading, b: &ModuleReading) -> Option<bool> {
    both(text(&a.serial), text(&b.serial)).map(|(a, b)| same_serial(&a, &b))
}

fn same_serial(a: &str, b: &str) -> bool {
    let (short, long) = if a.len() <= b.len() { (a, b) } else { (b, a) };
    a == b || (short.len() >= 8 && long.ends_with(short))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(part: &str, gib: u64) -> ModuleReading {
        ModuleReading {
            part_number: Some(part.into()),
            capacity: Some(Capacity::from_gib(gib)),
            ..ModuleReading::default()
        }
    }

    #[test]
    fn what_one_side_does_not_tell_is_no_difference() {
        assert!(unlike(&of("M393A4K40CB2-CTD", 32), &ModuleReading::default()).none());
        assert!(unlike(&of("M393A4K40CB2-CTD", 32), &of(" m393a4k40cb2-ctd  ", 32)).none());
        assert!(unlike(&of("NO DIMM", 32), &of("M393A4K40CB2-CTD", 32)).none());
    }

    #[test]
    fn a_smaller_module_of_another_part_is_smaller_first() {
        let unlike = unlike(&of("M393A4K40CB2-CTD", 32), &of("M393A2K40CB2-CTD", 16));
        assert!(unlike.part && unlike.smaller);
        assert_eq!(unlike.what(), Some(What::Smaller));
    }

    #[test]
    fn serials_compare_by_their_short_form() {
        let with = |s: &str| ModuleReading { serial: Some(s.into()), ..ModuleReading::default() };
        assert!(unlike(&with("80AD012321767E9321"), &with("767E9321")).none());
        assert!(unlike(&with("80AD012321767E9321"), &with("767E9322")).serial);
        assert!(unlike(&with("00000000"), &with("767E9322")).none());
    }
}
