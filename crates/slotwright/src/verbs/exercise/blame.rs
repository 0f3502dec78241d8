//! Whose memory an address is, and which counters went up meanwhile.

use super::view::CounterView;
use domain::Snapshot;
use domain::snapshot::{ErrorController, ErrorCounts, ErrorModule};

/// The likely slot of a physical address, in words; `None` where no range holds it.
pub fn slot(machine: &Snapshot, address: u64) -> Option<String> {
    if let Some(slot) = engine::errors::by_address(machine, address) {
        return Some(slot.name.trim().to_string());
    }
    let holds = machine.ranges.iter().filter(|r| (r.first..=r.last).contains(&address));
    let mut slots: Vec<&str> = Vec::new();
    let mut array = None;
    for range in holds {
        let named = machine.slots.iter().find(|s| Some(&s.handle) == range.slot.as_ref());
        match named {
            Some(slot) if !slots.contains(&slot.name.trim()) => slots.push(slot.name.trim()),
            Some(_) => {}
            None => array = range.array.clone().or(array),
        }
    }
    match (slots.is_empty(), array) {
        (false, _) => Some(format!("one of {}", slots.join(", "))),
        (true, Some(array)) => {
            let own = machine.memory_slots().filter(|s| s.array.as_ref() == Some(&array) && s.module.is_some());
            let names: Vec<&str> = own.map(|s| s.name.trim()).collect();
            if names.is_empty() { None } else { Some(format!("one of {}", names.join(", "))) }
        }
        _ => None,
    }
}

/// Counters that went up between two readings.
pub fn risen(before: &ErrorCounts, after: &ErrorCounts) -> Vec<CounterView> {
    let (ErrorCounts::Read(before), ErrorCounts::Read(after)) = (before, after) else { return Vec::new() };
    let mut risen = Vec::new();
    for now in after {
        let then = before.iter().find(|c| c.index == now.index);
        for module in &now.modules {
            let old =
                then.and_then(|c| c.modules.iter().find(|m| (m.index, m.by_rank) == (module.index, module.by_rank)));
            let up = |of: fn(&ErrorModule) -> Option<u64>| {
                of(module).unwrap_or(0).saturating_sub(old.and_then(of).unwrap_or(0))
            };
            add(&mut risen, name(now, module), up(|m| m.corrected), up(|m| m.uncorrected));
        }
        let up = |of: fn(&ErrorController) -> Option<u64>| {
            of(now).unwrap_or(0).saturating_sub(then.and_then(of).unwrap_or(0))
        };
        let words = format!("controller {}, no module named", now.index);
        add(&mut risen, words, up(|c| c.corrected_unplaced), up(|c| c.uncorrected_unplaced));
    }
    risen
}

fn add(risen: &mut Vec<CounterView>, module: String, corrected: u64, uncorrected: u64) {
    if corrected + uncorrected > 0 {
        risen.push(CounterView { module, corrected, uncorrected });
    }
}

fn name(controller: &ErrorController, module: &ErrorModule) -> String {
    let layers: Vec<String> = module.location.iter().map(|(l, n)| format!("{l} {n}")).collect();
    let place = format!("controller {} {}", controller.index, layers.join(" "));
    match module.label.as_deref().map(str::trim).filter(|l| !l.is_empty()) {
        Some(label) => format!("{label} ({})", place.trim()),
        None => place.trim().to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_leads_to_its_slot_or_to_those_that_share_it() {
        let machine = super::super::machine(
            r#"{"slotwright-snapshot": 1, "origins": ["smbios"],
                "slots": [{"origin": "smbios", "handle": "0x1100", "array": "0x1000", "name": "west-1", "state": "filled", "module": {}},
                          {"origin": "smbios", "handle": "0x1101", "array": "0x1000", "name": "west-2", "state": "filled", "module": {}}],
                "ranges": [{"handle": "0x1400", "first": 0, "last": 1023, "slot": "0x1100"},
                           {"handle": "0x1401", "first": 1024, "last": 2047, "slot": "0x1100"},
                           {"handle": "0x1402", "first": 1024, "last": 2047, "slot": "0x1101"},
                           {"handle": "0x1300", "first": 0, "last": 4095, "array": "0x1000"}]}"#,
        );
        assert_eq!(slot(&machine, 5).as_deref(), Some("west-1"));
        assert_eq!(slot(&machine, 1500).as_deref(), Some("one of west-1, west-2"));
        assert_eq!(slot(&machine, 3000).as_deref(), Some("one of west-1, west-2"));
        assert_eq!(slot(&machine, 9000), None);
    }

    #[test]
    fn only_what_went_up_is_told() {
        let module = |index, corrected| ErrorModule {
            index,
            corrected: Some(corrected),
            label: Some("west-1".into()),
            ..ErrorModule::default()
        };
        let with = |a, b| {
            ErrorCounts::Read(vec![ErrorController {
                modules: vec![module(0, a), module(1, b)],
                ..ErrorController::default()
            }])
        };
        let risen = risen(&with(5, 0), &with(5, 3));
        assert_eq!((risen.len(), risen[0].corrected, risen[0].uncorrected), (1, 3, 0));
        assert!(super::risen(&ErrorCounts::NoDriver, &with(5, 3)).is_empty());
    }
}
