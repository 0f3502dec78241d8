//! An axis: its range, its round ticks, and the figures that stand beside them.

/// Values along one axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Scale {
    low: f64,
    high: f64,
    step: f64,
}

impl Scale {
    /// Around values, with about `count` ticks at most. The range begins and ends on a tick.
    pub fn new(values: impl Iterator<Item = f64>, count: f64) -> Self {
        let (least, most) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, m), v| (l.min(v), m.max(v)));
        let (least, most) = if least > most { (0.0, 1.0) } else { (least, most) };
        // Values that are equal, or so near that figures could not tell them apart, get a range of their own size.
        let near = most - least <= most.abs().max(least.abs()) * 1e-6;
        let (least, most) = if near { (least - room(least), most + room(most)) } else { (least, most) };
        let step = round((most - least) / count.max(1.0));
        Self { low: (least / step).floor() * step, high: (most / step).ceil() * step, step }
    }
    /// From 0 to 1 along the axis.
    pub fn share(&self, value: f64) -> f64 {
        ((value - self.low) / (self.high - self.low)).clamp(0.0, 1.0)
    }
    /// The ticks, with their figures.
    pub fn ticks(&self) -> Vec<(f64, String)> {
        let steps = ((self.high - self.low) / self.step).round().clamp(1.0, 50.0) as u32;
        (0..=steps)
            .map(|at| {
                let value = self.low + f64::from(at) * self.step;
                (value, figure(value, self.step))
            })
            .collect()
    }
}

/// Half of what a value is.
fn room(value: f64) -> f64 {
    if value == 0.0 { 0.5 } else { value.abs() / 2.0 }
}

/// The next of 1, 2 and 5 times a power of ten.
fn round(step: f64) -> f64 {
    let power = 10f64.powf(step.log10().floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|f| f * power).find(|s| *s >= step * 0.999_999).unwrap_or(10.0 * power)
}

/// A tick's figure, with as many decimals as its step needs, and grouped by threes from 10 000 on.
fn figure(value: f64, step: f64) -> String {
    let decimals = (-step.log10().floor()).max(0.0) as usize;
    if value.abs() >= 1e12 || decimals > 6 {
        return format!("{value:.2e}");
    }
    let text = format!("{:.decimals$}", if value == 0.0 { 0.0 } else { value });
    if value.abs() < 10_000.0 {
        return text;
    }
    let (whole, rest) = text.split_at(text.find('.').unwrap_or(text.len()));
    let mut out = String::new();
    for (at, c) in whole.chars().enumerate() {
        if at > 0 && (whole.len() - at).is_multiple_of(3) && !out.ends_with('-') {
            // A narrow space that does not break (ISO 80000-1, 7.3.1: groups of three, no comma or point).
            out.push('\u{202f}');
        }
        out.push(c);
    }
    out + rest
}

#[cfg(test)]
mod tests {
    use super::*;

    fn figures(values: &[f64], count: f64) -> Vec<String> {
        Scale::new(values.iter().copied(), count).ticks().into_iter().map(|t| t.1).collect()
    }

    #[test]
    fn ticks_are_round_and_hold_every_value() {
        assert_eq!(figures(&[130.0, 1020.0], 6.0), ["0", "200", "400", "600", "800", "1000", "1200"]);
        assert_eq!(figures(&[0.12, 0.3], 4.0), ["0.10", "0.15", "0.20", "0.25", "0.30"]);
        assert_eq!(
            figures(&[9000.0, 21_000.0], 3.0),
            ["5000", "10\u{202f}000", "15\u{202f}000", "20\u{202f}000", "25\u{202f}000"]
        );
        for values in [[-3.0, 8.0], [1e-9, 2e-9], [1e15, 3e15], [999.9, 1000.1]] {
            let scale = Scale::new(values.into_iter(), 6.0);
            let ticks = scale.ticks();
            assert!((3..=9).contains(&ticks.len()), "{ticks:?}");
            let near = 1e-9 * values[1].abs();
            assert!(ticks[0].0 <= values[0] + near && ticks[ticks.len() - 1].0 >= values[1] - near, "{ticks:?}");
            assert!(scale.share(values[0]) < scale.share(values[1]));
        }
    }

    #[test]
    fn one_value_lies_inside_and_none_still_has_an_axis() {
        for value in [64.0, 0.0, 0.001, -5.0] {
            let share = Scale::new([value].into_iter(), 5.0).share(value);
            assert!((0.1..0.9).contains(&share), "{value} lies at {share}");
        }
        assert_eq!(figures(&[], 5.0).len(), 6);
    }
}
