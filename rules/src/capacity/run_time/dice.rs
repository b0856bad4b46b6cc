//! Chance from a seed that is given: the same seed, the same days.

/// A generator of 64 bits (splitmix64: a counter with an odd step, mixed by two multiplications).
#[derive(Debug, Clone)]
pub struct Dice(u64);

impl Dice {
    /// From a seed.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next number.
    pub fn next_number(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    /// A number from 0 up to but without 1, each as likely.
    pub fn share(&mut self) -> f64 {
        (self.next_number() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A number between low and high of which `likely` is the most likely (triangular).
    pub fn between(&mut self, low: f64, likely: f64, high: f64) -> f64 {
        let (width, throw) = (high - low, self.share());
        if width <= 0.0 {
            return low;
        }
        let turn = (likely - low) / width;
        if throw < turn {
            low + (throw * width * (likely - low)).sqrt()
        } else {
            high - ((1.0 - throw) * width * (high - likely)).sqrt()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Vigna's published test values of splitmix64 for the seed 1234567, from memory.
    #[test]
    fn the_same_seed_gives_the_same_numbers() {
        let mut dice = Dice::new(1_234_567);
        assert_eq!(dice.next_number(), 6_457_827_717_110_365_317);
        assert_eq!(dice.next_number(), 3_203_168_211_198_807_973);
    }

    /// The mean of a triangle is the mean of its three corners.
    #[test]
    fn a_triangle_has_its_mean() {
        let mut dice = Dice::new(7);
        let count = 20_000;
        let throws: Vec<f64> = (0..count).map(|_| dice.between(0.1, 0.3, 0.8)).collect();
        let mean = throws.iter().sum::<f64>() / f64::from(count);
        assert!((mean - 0.4).abs() < 0.01, "{mean}");
        assert!(throws.iter().all(|throw| (0.1..=0.8).contains(throw)));
        assert_eq!(dice.between(0.5, 0.5, 0.5), 0.5);
    }
}
