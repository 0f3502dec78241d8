//! Texts with units into quantities, each fault at its place.

use crate::decode::At;
use crate::error::{Fault, Problem};
use crate::reading::Reading;
use crate::shape::MtPerS;
use domain::quantity::{QuantityError, Voltage};
use domain::{Capacity, DataRate, Height, Money, Watts};

/// "64 GiB", more than nothing.
pub(crate) fn capacity(reading: &mut Reading, at: &At<String>) -> Option<Capacity> {
    let capacity = reading.keep(Capacity::parse(at).map_err(|e| Fault::quantity(at.span, e)))?;
    if capacity.is_zero() {
        reading
            .report(Fault::contradiction(at.span, "no memory at all").hint("give an amount above 0, or leave it out"));
        return None;
    }
    Some(capacity)
}

/// 2933 or "2933 MT/s".
pub(crate) fn rate(reading: &mut Reading, at: &At<MtPerS>) -> Option<DataRate> {
    reading.keep(DataRate::parse(&at.0).map_err(|e| Fault::quantity(at.span, e)))
}

/// "4000 EUR".
pub(crate) fn money(reading: &mut Reading, at: &At<String>) -> Option<Money> {
    reading.keep(Money::parse(at).map_err(|e| Fault::money(at.span, e)))
}

/// "15 W".
pub(crate) fn watts(reading: &mut Reading, at: &At<String>) -> Option<Watts> {
    let text = at.trim();
    let number = text.strip_suffix(['W', 'w']).map(str::trim_end).and_then(|n| n.parse::<f64>().ok());
    match number {
        Some(w) if (0.0..=100_000.0).contains(&w) => Some(Watts::from_watts(w)),
        Some(_) => {
            let (what, least, most) = ("a power", "0 W", "100000 W");
            let error = QuantityError::Range { text: text.into(), what, least, most };
            reading.report(Fault::quantity(at.span, error));
            None
        }
        None => {
            let problem = Problem::Type {
                expected: "a power such as \"15 W\"".into(),
                found: format!("`{}`", crate::text::shown(text)),
            };
            reading.report(Fault::new(at.span, problem).hint("write a number and W, such as \"15 W\""));
            None
        }
    }
}

/// 31.25 mm.
pub(crate) fn height(reading: &mut Reading, at: &At<f64>) -> Option<Height> {
    reading.ranged(at, "a height in mm", 1.0, 200.0).map(Height::from_mm)
}

/// 1.2 V.
pub(crate) fn voltage(reading: &mut Reading, at: &At<f64>) -> Option<Voltage> {
    let volts = reading.ranged(at, "a supply voltage in V", 0.5, 3.5)?;
    Some(Voltage::from_millivolts((volts * 1000.0).round() as u32))
}
