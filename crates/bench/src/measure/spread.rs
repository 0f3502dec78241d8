//! Several readings of one thing.

/// Several readings of one thing, sorted.
#[derive(Debug, Clone, PartialEq)]
pub struct Spread(Vec<f64>);

impl Spread {
    /// Of these readings; such that are not finite are left out.
    pub fn new(mut readings: Vec<f64>) -> Self {
        readings.retain(|r| r.is_finite());
        readings.sort_by(f64::total_cmp);
        Self(readings)
    }
    /// The middle one, or the mean of the two in the middle; 0 where there is none.
    pub fn median(&self) -> f64 {
        let (half, odd) = (self.0.len() / 2, self.0.len() % 2 == 1);
        let at = |i: usize| self.0.get(i).copied().unwrap_or(0.0);
        if self.0.is_empty() {
            0.0
        } else if odd {
            at(half)
        } else {
            (at(half - 1) + at(half)) / 2.0
        }
    }
    pub fn least(&self) -> f64 {
        self.0.first().copied().unwrap_or(0.0)
    }
    pub fn most(&self) -> f64 {
        self.0.last().copied().unwrap_or(0.0)
    }
    /// From least to most, as a share of the median.
    pub fn share(&self) -> f64 {
        if self.median() > 0.0 { (self.most() - self.least()) / self.median() } else { 0.0 }
    }
    /// How many.
    pub fn count(&self) -> usize {
        self.0.len()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_middle_is_found() {
        let odd = Spread::new(vec![3.0, 1.0, 2.0, f64::NAN]);
        assert_eq!((odd.median(), odd.least(), odd.most(), odd.share(), odd.count()), (2.0, 1.0, 3.0, 1.0, 3));
        assert_eq!(Spread::new(vec![4.0, 1.0, 2.0, 3.0]).median(), 2.5);
        assert_eq!(Spread::new(Vec::new()).median(), 0.0);
    }
}
