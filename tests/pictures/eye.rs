//! Colours as eyes see them.

use treatrate::report::picture::palette::Colour;

/// How an eye mixes red, green and blue light.
pub(crate) type Sight = [[f64; 3]; 3];

/// Every eye here, by name: all cones, and each of the three kinds missing.
///
/// Source: G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A physiologically-based model for
/// simulation of color vision deficiency", IEEE Transactions on Visualization and Computer Graphics
/// 15 (2009) 1291, table 1 at severity 1.0, for linear RGB (numbers from memory; that white stays
/// white is checked).
pub(crate) const SIGHTS: [(&str, Sight); 4] = [
    (
        "all cones",
        [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
    ),
    (
        "no long-wave cones",
        [
            [0.152_286, 1.052_583, -0.204_868],
            [0.114_503, 0.786_281, 0.099_216],
            [-0.003_882, -0.048_116, 1.051_998],
        ],
    ),
    (
        "no middle-wave cones",
        [
            [0.367_322, 0.860_646, -0.227_968],
            [0.280_085, 0.672_501, 0.047_413],
            [-0.011_820, 0.042_940, 0.968_881],
        ],
    ),
    (
        "no short-wave cones",
        [
            [1.255_528, -0.076_749, -0.178_779],
            [-0.078_411, 0.930_809, 0.147_602],
            [0.004_733, 0.691_367, 0.303_900],
        ],
    ),
];

/// Linear light of an sRGB colour (IEC 61966-2-1).
fn light(colour: Colour) -> [f64; 3] {
    [colour.0, colour.1, colour.2].map(|c| {
        let c = f64::from(c) / 255.0;
        if c <= 0.040_45 {
            c / 12.92
        } else {
            ((c + 0.055) / 1.055).powf(2.4)
        }
    })
}

/// Lightness and the two opponent axes, as an eye sees a colour: CIELAB 1976, white point D65
/// (CIE 15; sRGB primaries of IEC 61966-2-1).
pub(crate) fn lab(colour: Colour, sight: &Sight) -> [f64; 3] {
    let light = light(colour);
    let seen = sight.map(|row| {
        let sum: f64 = row.iter().zip(light).map(|(a, b)| a * b).sum();
        sum.clamp(0.0, 1.0)
    });
    let to_xyz = [
        [0.4124, 0.3576, 0.1805],
        [0.2126, 0.7152, 0.0722],
        [0.0193, 0.1192, 0.9505],
    ];
    let white = [0.9505, 1.0, 1.089];
    let mut f = [0.0; 3];
    for ((f, row), white) in f.iter_mut().zip(to_xyz).zip(white) {
        let t: f64 = row.iter().zip(seen).map(|(a, b)| a * b).sum::<f64>() / white;
        let edge: f64 = 6.0 / 29.0;
        *f = if t > edge.powi(3) {
            t.cbrt()
        } else {
            t / (3.0 * edge * edge) + 4.0 / 29.0
        };
    }
    [
        116.0 * f[1] - 16.0,
        500.0 * (f[0] - f[1]),
        200.0 * (f[1] - f[2]),
    ]
}

/// How far apart an eye sees two colours: the CIE 1976 difference; 2.3 is just seen (M. Mahy et al.,
/// Color Research and Application 19 (1994) 105; from memory).
pub(crate) fn apart(a: Colour, b: Colour, sight: &Sight) -> f64 {
    let (a, b) = (lab(a, sight), lab(b, sight));
    let squares = a.iter().zip(b).map(|(a, b)| (a - b) * (a - b));
    squares.sum::<f64>().sqrt()
}
