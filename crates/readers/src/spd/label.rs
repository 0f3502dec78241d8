//! The label that contents say the module should bear, in the JEDEC grammar (JESD21-C 4.19, JESD401-5).

use super::sections::Sections;
use super::{Spd, card, grade, kind, organisation, timing};
use domain::Generation;

/// Ranks, stack and width as a label has them: `2Rx4`, `4DRx4`, `2S4Rx4`.
pub fn organisation(organised: &organisation::Organised) -> Option<String> {
    let stack = match (organised.stack, organised.dies) {
        (2.., _) => format!("S{}", organised.stack),
        (_, Some(3..)) => "Q".to_string(),
        (_, Some(2)) => "D".to_string(),
        _ => String::new(),
    };
    Some(format!("{}{stack}Rx{}", organised.package_ranks, organised.width?))
}

/// The SPD revision as a label has it: `12`, or `1010` with the module section's own.
pub fn revision(spd: &Spd) -> String {
    match &spd.sections {
        Sections::Ddr3 { base, .. } => format!("{:02X}", base.revision),
        Sections::Ddr4 { base, .. } => format!("{:02X}", base.revision),
        Sections::Ddr5 { base, common, .. } => format!("{:02X}{:02X}", base.revision, common.revision),
    }
}

/// The whole label; `None` where the contents do not tell enough for one, or no label form is known for the type.
pub fn label(spd: &Spd) -> Option<String> {
    let organised = organisation::organised(spd)?;
    let sections = &spd.sections;
    if sections.hybrid() {
        return None;
    }
    let kind = kind::letter(sections.type_name(), organised.ecc_bits? > 0)?;
    let mib = organised.capacity?.mib();
    let capacity = if mib.is_multiple_of(1024) { format!("{}GB", mib / 1024) } else { format!("{mib}MB") };
    let head = format!("{capacity} {}", organisation(&organised)?);
    let times = timing::module_times(spd)?;
    let (rate, tck) = times.standard()?;
    let clocks = times.clocks_at(tck)?;
    let card_at = match sections {
        Sections::Ddr3 { .. } => 62,
        Sections::Ddr4 { .. } => 130,
        Sections::Ddr5 { .. } => 232,
    };
    let card = card::raw_card(sections).filter(|_| spd.reaches(card_at + 1));
    let card = card.map_or(String::new(), |c| format!("{}{}", c.letter, c.revision));
    let revision = revision(spd);
    match sections {
        Sections::Ddr3 { base, .. } => {
            let supply = match (base.volts_1250, base.volts_1350) {
                (1, _) => "U",
                (_, 1) => "L",
                _ => "",
            };
            // The bandwidth, rate x 8 bytes, is printed in whole hundreds of MB/s.
            let bandwidth = rate.mts() * 8 / 100 * 100;
            let mut label = format!("{head} PC3{supply}-{bandwidth}{kind}-{}-{revision}", clocks.cas);
            if !card.is_empty() {
                label.push_str(&format!("-{card}"));
            }
            Some(label)
        }
        Sections::Ddr4 { .. } | Sections::Ddr5 { .. } => {
            let stacked = organised.stack > 1;
            let grade = grade::grade(spd.generation(), rate, clocks, stacked).map_or("", |g| g.name);
            let digit = if spd.generation() == Generation::Ddr4 { 4 } else { 5 };
            let label = format!("{head} PC{digit}-{}{grade}-{kind}{card}-{revision}", rate.mts());
            Some(match temperature(sections) {
                Some(range) => format!("{label}-{range}"),
                None => label,
            })
        }
    }
}

/// The temperature range of a DDR5 module.
pub fn temperature(sections: &Sections) -> Option<&'static str> {
    match sections {
        Sections::Ddr5 { common, .. } => kind::word(kind::TEMPERATURES, common.temperature),
        _ => None,
    }
}
