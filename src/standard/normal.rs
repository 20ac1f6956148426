//! The standard normal distribution and its inverse.
//!
//! ```text
//! Φ(z) = ½ erfc(−z/√2)
//! ```
//!
//! | symbol | argument | unit |
//! |---|---|---|
//! | z | `z` | standard deviations |
//! | Φ | `p` | a probability |
//!
//! Source: the inverse is algorithm AS 241, PPND16 (M. J. Wichura, Applied Statistics 37, 1988,
//! 477–484), good to about one part in 10^16; its coefficients are from memory and checked against Φ.
//!
//! Domain: any z; p between 0 and 1, both excluded.
//!
//! Confidence: the test below takes each branch forth and back.
//!
//! ```
//! use treatrate::standard::normal::{below, quantile};
//!
//! // The one-sided 95 % point of every statistics table.
//! assert!((quantile(0.95) - 1.644_853_627).abs() < 1e-9);
//! assert!((below(1.959_963_985) - 0.975).abs() < 1e-9);
//! ```

/// Inside this distance of one half the first fraction holds.
const CENTRAL: f64 = 0.425;
/// Where the two outer fractions meet.
const OUTER: f64 = 5.0;

const A: [f64; 8] = [
    3.387_132_872_796_366_5,
    133.141_667_891_784_38,
    1_971.590_950_306_551_3,
    13_731.693_765_509_46,
    45_921.953_931_549_87,
    67_265.770_927_008_7,
    33_430.575_583_588_13,
    2_509.080_928_730_122_7,
];
const B: [f64; 8] = [
    1.0,
    42.313_330_701_600_91,
    687.187_007_492_057_9,
    5_394.196_021_424_751,
    21_213.794_301_586_597,
    39_307.895_800_092_71,
    28_729.085_735_721_943,
    5_226.495_278_852_854,
];
const C: [f64; 8] = [
    1.423_437_110_749_683_5,
    4.630_337_846_156_546,
    5.769_497_221_460_691,
    3.647_848_324_763_204_5,
    1.270_458_252_452_368_4,
    0.241_780_725_177_450_6,
    0.022_723_844_989_269_184,
    7.745_450_142_783_414e-4,
];
const D: [f64; 8] = [
    1.0,
    2.053_191_626_637_759,
    1.676_384_830_183_803_8,
    0.689_767_334_985_1,
    0.148_103_976_427_480_08,
    0.015_198_666_563_616_457,
    5.475_938_084_995_345e-4,
    1.050_750_071_644_416_9e-9,
];
const E: [f64; 8] = [
    6.657_904_643_501_103,
    5.463_784_911_164_114,
    1.784_826_539_917_291_3,
    0.296_560_571_828_504_87,
    0.026_532_189_526_576_124,
    0.001_242_660_947_388_078_4,
    2.711_555_568_743_487_6e-5,
    2.010_334_399_292_288_1e-7,
];
const F: [f64; 8] = [
    1.0,
    0.599_832_206_555_888,
    0.136_929_880_922_735_8,
    0.014_875_361_290_850_615,
    7.868_691_311_456_133e-4,
    1.846_318_317_510_054_8e-5,
    1.421_511_758_316_446e-7,
    2.044_263_103_389_939_8e-15,
];

/// The probability of a value below z.
#[must_use]
pub fn below(z: f64) -> f64 {
    0.5 * libm::erfc(-z / std::f64::consts::SQRT_2)
}

/// The density at z.
#[must_use]
pub fn density(z: f64) -> f64 {
    (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt()
}

/// The z below which a value lies with probability p; infinite at 0 and 1.
#[must_use]
pub fn quantile(p: f64) -> f64 {
    let q = p - 0.5;
    if q.abs() <= CENTRAL {
        let r = CENTRAL * CENTRAL - q * q;
        return q * polynomial(&A, r) / polynomial(&B, r);
    }
    let tail = if q < 0.0 { p } else { 1.0 - p };
    if tail <= 0.0 {
        return f64::INFINITY.copysign(q);
    }
    let r = (-tail.ln()).sqrt();
    let z = if r <= OUTER {
        let r = r - 1.6;
        polynomial(&C, r) / polynomial(&D, r)
    } else {
        let r = r - OUTER;
        polynomial(&E, r) / polynomial(&F, r)
    };
    z.copysign(q)
}

fn polynomial(coefficients: &[f64; 8], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}

#[cfg(test)]
mod tests {
    use super::{below, density, quantile};

    #[test]
    fn forth_and_back() {
        for k in -800..=500 {
            let z = f64::from(k) / 100.0;
            let p = below(z);
            let slope = density(z);
            // Close to one, p itself holds fewer digits of the tail.
            let room = 4.0 * f64::EPSILON * p / slope + 1e-13 * (1.0 + z.abs());
            assert!((quantile(p) - z).abs() < room, "{z}: {}", quantile(p));
        }
        assert!(quantile(0.0).is_infinite() && quantile(1.0).is_infinite());
    }

    /// Φ of a statistics table (from memory): 0.841345 at 1, 0.977250 at 2, 0.998650 at 3.
    #[test]
    fn a_table_agrees() {
        for (z, p) in [
            (0.0, 0.5),
            (1.0, 0.841_345),
            (2.0, 0.977_250),
            (3.0, 0.998_650),
        ] {
            assert!((below(z) - p).abs() < 5e-7, "{z}");
        }
    }
}
