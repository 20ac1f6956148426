//! One picture of every kind, with numbers such as the shipped problems give; names are those of the
//! shipped shelves, the numbers are invented.

use treatrate::report::picture::data::{
    Along, Axis, Band, Cell, DistributionPanel, DistributionPicture, FrontierPicture,
    FrontierPoint, Gap, LimitLine, MapPicture, Mark, Moved, Picture, Stretch, SweepPicture,
    TornadoBar, TornadoPicture,
};

/// Names of the shipped shelves, the longest among them.
pub(crate) const NAMES: [&str; 15] = [
    "group III 6",
    "PAO 6",
    "olefin copolymer",
    "full-ash package",
    "PAO 4",
    "diester",
    "polymethacrylate",
    "molybdenum dithiocarbamate",
    "polymethacrylate pour depressant",
    "overbased calcium sulfonate",
    "zinc dialkyl dithiophosphate, secondary",
    "borated succinimide dispersant",
    "seal-swell ester",
    "antifoam",
    "ashless antioxidant",
];

/// An index as a number.
pub(crate) fn real(i: usize) -> f64 {
    f64::from(u32::try_from(i).expect("a small index"))
}

/// A stretch of an axis.
pub(crate) fn stretch(from: f64, to: f64) -> Stretch {
    Stretch { from, to }
}

/// Phosphorus from 600 to 1000 ppm; no recipe below 655.
pub(crate) fn sweep() -> SweepPicture {
    let xs: Vec<f64> = (0..=80).map(|i| 600.0 + 5.0 * real(i)).collect();
    let cost = |x: f64| {
        (x >= 655.0).then(|| 3.21 + 0.9 * (-(x - 655.0) / 60.0).exp() + 0.0002 * (x - 655.0))
    };
    let rate = |name: usize, x: f64| -> f64 {
        let t = (x - 655.0) / 345.0;
        match name {
            1 => 35.4 - 9.0 * t,
            2 => 8.6 + 1.2 * t,
            3 => 8.5,
            4 => (4.6 - 12.0 * t).max(0.0),
            5 => 3.7,
            6 => 1.1 + 0.4 * t,
            7 => 0.75 + 0.25 * t,
            8 => 0.2,
            9 => 0.147,
            10 => 0.05 + 0.9 * t,
            _ => 0.0,
        }
    };
    let components = (0..11)
        .map(|name| Band {
            name: NAMES[name].into(),
            rates: xs
                .iter()
                .map(|x| {
                    if name == 0 {
                        100.0 - (1..11).map(|other| rate(other, *x)).sum::<f64>()
                    } else {
                        rate(name, *x)
                    }
                })
                .collect(),
        })
        .collect();
    let mark = |label: &str, stretches: Vec<Stretch>| Mark {
        label: label.into(),
        stretches,
    };
    SweepPicture {
        title: "5W-50 for the hill-climb cars: phosphorus, at least".into(),
        x: Axis::new("phosphorus, at least", "ppm"),
        along: Along::Numbers(xs.clone()),
        asked: vec![true; xs.len()],
        goal: Axis::new("cost", "EUR/kg"),
        goal_values: xs.iter().map(|x| cost(*x)).collect(),
        components,
        marks: vec![
            mark("phosphorus ≥ set value", vec![stretch(655.0, 1000.0)]),
            mark("HTHS at 150 °C ≥ 4.7 mPa·s", vec![stretch(655.0, 872.4)]),
            mark(
                "Noack loss ≤ 8 %",
                vec![stretch(655.0, 787.0), stretch(872.4, 1000.0)],
            ),
            mark("Mo:P by mass ≥ 1", vec![stretch(655.0, 1000.0)]),
            mark("aniline point ≤ 112 °C", vec![stretch(787.0, 1000.0)]),
            mark("base number ≥ 7.5 mg KOH/g", vec![stretch(655.0, 702.0)]),
            mark("polar base stocks ≤ 4 %", vec![stretch(990.0, 990.0)]),
        ],
        breaks: vec![702.0, 787.0, 872.4],
        gaps: vec![Gap {
            stretch: stretch(600.0, 655.0),
            reason: "zinc at most 950 ppm, base number at least 7.5 mg KOH/g and sulfated ash \
                     at most 1 % leave no room together"
                .into(),
        }],
        notes: vec!["A predicted grade is not a licence or an approval.".into()],
    }
}

/// Grades, two of them without a recipe.
pub(crate) fn grades() -> SweepPicture {
    let words: Vec<String> = [
        "0W-8", "0W-20", "5W-30", "5W-40", "10W-40", "10W-60", "15W-50", "20W-50",
    ]
    .map(String::from)
    .to_vec();
    let cost = [
        None,
        Some(3.61),
        Some(2.82),
        Some(2.95),
        Some(2.71),
        None,
        Some(2.64),
        Some(2.40),
    ];
    let rates = |rates: [f64; 8]| rates.to_vec();
    let components = [
        (
            "group III 4",
            rates([0.0, 31.0, 39.0, 36.0, 20.0, 0.0, 8.0, 0.0]),
        ),
        (
            "group III 6",
            rates([0.0, 8.0, 15.0, 18.0, 40.0, 0.0, 52.0, 63.0]),
        ),
        (
            "PAO 4",
            rates([0.0, 46.0, 27.0, 24.0, 15.0, 0.0, 10.0, 4.0]),
        ),
        (
            "low-ash package",
            rates([0.0, 10.0, 10.0, 10.0, 10.0, 0.0, 10.0, 10.0]),
        ),
        (
            "styrene-diene star, shear-stable",
            rates([0.0, 4.2, 7.7, 10.5, 11.2, 0.0, 12.8, 15.2]),
        ),
        (
            "olefin copolymer",
            rates([0.0, 0.8, 1.3, 1.5, 3.8, 0.0, 7.2, 7.8]),
        ),
    ]
    .map(|(name, rates)| Band {
        name: name.into(),
        rates,
    })
    .to_vec();
    let mark = |label: &str, stretches: Vec<Stretch>| Mark {
        label: label.into(),
        stretches,
    };
    SweepPicture {
        title: "Low-ash oil for the club bus, grade by grade".into(),
        x: Axis::new("grade", ""),
        along: Along::Words(words),
        asked: vec![true; 8],
        goal: Axis::new("cost", "EUR/kg"),
        goal_values: cost.to_vec(),
        components,
        marks: vec![
            mark("Noack loss ≤ 10 %", vec![stretch(1.0, 3.0)]),
            mark(
                "HTHS at 150 °C ≥ grade's minimum",
                vec![stretch(1.0, 1.0), stretch(4.0, 4.0)],
            ),
            mark("CCS ≤ grade's maximum", vec![stretch(6.0, 7.0)]),
        ],
        breaks: Vec::new(),
        gaps: vec![
            Gap {
                stretch: stretch(0.0, 0.0),
                reason: "HTHS at least 2.9 mPa·s asks for more than KV100 below 6.1 mm²/s".into(),
            },
            Gap {
                stretch: stretch(5.0, 5.0),
                reason: "KV100 after shear".into(),
            },
        ],
        notes: Vec::new(),
    }
}

/// Phosphorus and Noack loss; no recipe in one corner.
pub(crate) fn map() -> MapPicture {
    let (columns, rows) = (25, 25);
    let xs: Vec<f64> = (0..columns).map(|i| 600.0 + 16.0 * real(i)).collect();
    let ys: Vec<f64> = (0..rows).map(|i| 7.0 + 0.25 * real(i)).collect();
    let mut cells = Vec::new();
    for y in &ys {
        for x in &xs {
            let (u, v) = ((x - 600.0) / 384.0, (y - 7.0) / 6.0);
            let goal = 2.81 + 0.8 * (1.0 - v).powi(2) + 0.3 * (u - 0.35).max(0.0);
            let region = if v > 0.72 {
                0
            } else if u + v < 0.9 {
                1
            } else if u < 0.93 {
                2
            } else {
                3
            };
            cells.push(Cell {
                goal: (u + 2.5 * v > 0.45).then_some(goal),
                region,
            });
        }
    }
    MapPicture {
        title: "Low-ash 5W-30 for the club bus: phosphorus and Noack loss".into(),
        x: Axis::new("phosphorus, at least", "ppm"),
        along_x: Along::Numbers(xs),
        y: Axis::new("Noack loss, at most", "%"),
        along_y: Along::Numbers(ys),
        goal: Axis::new("cost", "EUR/kg"),
        cells,
        regions: vec![
            "HTHS, sulfated ash".into(),
            "Noack loss, HTHS, aniline point".into(),
            "Noack loss, phosphorus, HTHS".into(),
            "phosphorus, zinc, Noack loss, treat of zddp-booster".into(),
        ],
        keys: Vec::new(),
        notes: vec!["Binding everywhere: aniline point at most 113 °C.".into()],
    }
}

/// Noack loss against cost, with a jump.
pub(crate) fn frontier() -> FrontierPicture {
    let points = (0..24)
        .map(|i| {
            let t = real(i) / 23.0;
            let shift = if i > 15 { 0.25 } else { 0.0 };
            FrontierPoint {
                x: 13.0 - 6.0 * t - shift,
                y: 2.62 + 0.25 * t + 0.9 * t.powi(4) + shift * 0.3,
                rate: if i % 5 == 2 {
                    format!("{:.3} EUR/kg per 1 %", (0.25 + 3.6 * t.powi(3)) / 6.0)
                } else {
                    String::new()
                },
            }
        })
        .collect();
    FrontierPicture {
        title: "Low-ash 5W-30 for the club bus: what a lower Noack loss costs".into(),
        x: Axis::new("Noack loss", "%"),
        y: Axis::new("cost", "EUR/kg"),
        points,
        jumps: vec![15],
        ends: ["cheapest".into(), "lowest Noack loss".into()],
    }
}

/// Limits moved by their methods' reproducibility.
pub(crate) fn tornado() -> TornadoPicture {
    let bar = |label: &str, tight: (&str, Option<f64>), loose: (&str, Option<f64>)| TornadoBar {
        label: label.into(),
        moves: [tight, loose].map(|(to, effect)| {
            Some(Moved {
                to: to.into(),
                effect,
            })
        }),
    };
    TornadoPicture {
        title: "5W-50 for the hill-climb cars: each limit moved by its method's reproducibility"
            .into(),
        axis: Axis::new("change of cost", "EUR/kg"),
        ways: ["tightened".into(), "loosened".into()],
        bars: vec![
            bar(
                "aniline point ≤ 112 °C",
                ("110.3", None),
                ("113.7", Some(-0.0496)),
            ),
            bar(
                "Noack loss ≤ 8 %",
                ("7.0", Some(0.1213)),
                ("9.0", Some(-0.0441)),
            ),
            bar(
                "phosphorus ≥ 750 ppm",
                ("823", Some(0.0712)),
                ("677", Some(-0.0309)),
            ),
            bar(
                "HTHS at 150 °C ≥ 4.7 mPa·s",
                ("4.89", Some(0.0323)),
                ("4.51", Some(-0.0211)),
            ),
            bar(
                "base number ≥ 7.5 mg KOH/g",
                ("8.2", Some(0.0188)),
                ("6.8", Some(0.0021)),
            ),
            bar(
                "Mo:P by mass ≥ 1",
                ("1.15", Some(0.0241)),
                ("0.85", Some(-0.0238)),
            ),
            bar(
                "price of zinc dialkyl dithiophosphate, secondary",
                ("4.40", Some(0.0004)),
                ("3.60", Some(-0.0004)),
            ),
            bar(
                "CCS at -30 °C ≤ 6600 mPa·s",
                ("6110", Some(0.0)),
                ("7090", Some(0.0)),
            ),
        ],
    }
}

/// A normal hump in bins.
pub(crate) fn hump(mean: f64, sd: f64, min: Option<f64>, max: Option<f64>) -> DistributionPanel {
    let width = sd / 6.0;
    let from = mean - 5.0 * sd;
    let limit = |value: f64, word: &str| LimitLine {
        value,
        words: format!("{word} {value}"),
    };
    DistributionPanel {
        axis: Axis::new("", ""),
        from,
        width,
        bins: (0..60)
            .map(|i| {
                let z = (from + (real(i) + 0.5) * width - mean) / sd;
                1e6 * (-0.5 * z * z).exp()
            })
            .collect(),
        min: min.map(|v| limit(v, "min")),
        max: max.map(|v| limit(v, "max")),
        pass: String::new(),
    }
}

/// Six properties of one recipe.
pub(crate) fn distribution() -> DistributionPicture {
    let panel = |label: &str, unit: &str, pass: &str, hump: DistributionPanel| DistributionPanel {
        axis: Axis::new(label, unit),
        pass: pass.into(),
        ..hump
    };
    DistributionPicture {
        title: "Low-ash 5W-30 for the club bus: what one lab's test may read".into(),
        panels: vec![
            panel(
                "KV100",
                "mm²/s",
                "passes 53 %",
                hump(12.2, 0.66, Some(11.5), Some(12.2)),
            ),
            panel(
                "KV100 after shear",
                "mm²/s",
                "passes 95 %",
                hump(11.55, 0.63, Some(10.5), None),
            ),
            panel(
                "phosphorus",
                "ppm",
                "passes 50 %",
                hump(700.0, 29.0, Some(700.0), Some(900.0)),
            ),
            panel(
                "Noack loss",
                "%",
                "passes 50 %",
                hump(10.0, 0.8, None, Some(10.0)),
            ),
            panel(
                "CCS at −30 °C",
                "mPa·s",
                "passes > 99.9 %",
                hump(3270.0, 240.0, None, Some(6600.0)),
            ),
            panel(
                "base number",
                "mg KOH/g",
                "passes 94 %",
                hump(7.0, 0.2, Some(6.6), None),
            ),
            panel(
                "sulfated ash",
                "%",
                "passes 50 %",
                hump(0.8, 0.05, None, Some(0.8)),
            ),
        ],
        together: "All limits together pass with 11.3 % at one lab's test.".into(),
    }
}

/// All of them, by name.
pub(crate) fn all() -> Vec<(&'static str, Picture)> {
    vec![
        ("sweep", Picture::Sweep(sweep())),
        ("grades", Picture::Sweep(grades())),
        ("map", Picture::Map(map())),
        ("frontier", Picture::Frontier(frontier())),
        ("tornado", Picture::Tornado(tornado())),
        ("distribution", Picture::Distribution(distribution())),
    ]
}
