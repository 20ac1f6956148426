//! The polymer of a viscosity modifier, given directly or fitted to a measured thickening.

use super::figure::{Allowance, figure, missing};
use super::range::Range;
use super::tree::{Node, Table};
use super::words::only;
use crate::declare::component::{Figure, Origin, Polymer};
use crate::declare::problem::ThickeningLaw;
use crate::fault::{Code, Fault};

const KEYS: [&str; 10] = [
    "solids",
    "iv40",
    "iv100",
    "iv150",
    "k",
    "hths-loss",
    "ssi",
    "ssi-krl",
    "ccs-thickening",
    "mrv-thickening",
];

/// The polymer table of the component named `id`.
pub(super) fn polymer(
    node: Node<'_>,
    id: &str,
    law: ThickeningLaw,
    faults: &mut Vec<Fault>,
) -> Option<Polymer> {
    let what = format!("`polymer` of `{id}`");
    let table = node.table(&what, faults)?;
    only(&table, &what, &KEYS, faults);
    let mut part = |key: &str, range: Range, needed: bool| {
        let Some(node) = table.get(key) else {
            if needed {
                faults.push(missing(&table, &what, key, &format!("{key} = …")));
            }
            return None;
        };
        figure(
            node,
            &format!("`{key}` of `{id}`"),
            &Allowance::from(range),
            faults,
        )
    };
    let solids = part("solids", Range::SOLIDS, true);
    let k = part("k", Range::THICKENING_CONSTANT, true);
    let hths_loss = part("hths-loss", Range::FRACTION, true);
    let ssi = part("ssi", Range::INDEX, true);
    let fraction = ssi
        .as_ref()
        .filter(|f| f.value > 0.0 && f.value < 1.0)
        .cloned();
    let ssi_krl = part("ssi-krl", Range::INDEX, false);
    let ccs_thickening = part("ccs-thickening", Range::RISE, true);
    let mrv_thickening = part("mrv-thickening", Range::RISE, false);
    if let Some(ssi) = fraction {
        faults.push(
            Fault::at(
                Code::OutOfRange,
                format!(
                    "`ssi` of `{id}` is {} %, stabler than any polymer",
                    ssi.value
                ),
                ssi.place,
                "read as %",
            )
            .help(format!(
                "if a fraction was meant, write `ssi = {}`",
                ssi.value * 100.0
            )),
        );
    }
    let k_value = k.as_ref().map(|figure| figure.value);
    let mut intrinsic = |key: &str| intrinsic(&table, id, key, law, k_value, faults);
    let iv40 = intrinsic("iv40");
    let iv100 = intrinsic("iv100");
    let iv150 = intrinsic("iv150");
    Some(Polymer {
        solids: solids?,
        iv40: iv40?,
        iv100: iv100?,
        iv150: iv150?,
        k: k?,
        hths_loss: hths_loss?,
        ssi: ssi?,
        ssi_krl,
        ccs_thickening: ccs_thickening?,
        mrv_thickening,
    })
}

fn intrinsic(
    polymer: &Table<'_>,
    id: &str,
    key: &str,
    law: ThickeningLaw,
    k: Option<f64>,
    faults: &mut Vec<Fault>,
) -> Option<Figure> {
    let what = format!("`{key}` of `{id}`");
    let Some(node) = polymer.get(key) else {
        faults.push(missing(
            polymer,
            &format!("`polymer` of `{id}`"),
            key,
            &format!("{key} = …` (dL/g), or `{key} = {{ base = …, blend = …, solids = 1.0, density = 0.79 }}"),
        ));
        return None;
    };
    match node.as_table() {
        Some(table) if table.get("blend").is_some() => measured(&table, &what, law, k, faults),
        _ => figure(node, &what, &Allowance::from(Range::INTRINSIC), faults),
    }
}

/// The intrinsic viscosity that a measured thickening says.
fn measured(
    table: &Table<'_>,
    what: &str,
    law: ThickeningLaw,
    k: Option<f64>,
    faults: &mut Vec<Fault>,
) -> Option<Figure> {
    only(table, what, &["base", "blend", "solids", "density"], faults);
    let mut part = |key: &str, range: Range| {
        let Some(node) = table.get(key) else {
            faults.push(missing(table, what, key, &format!("{key} = …")));
            return None;
        };
        let what = format!("`{key}` of {what}");
        figure(node, &what, &Allowance::from(range), faults)
    };
    let base = part("base", Range::KINEMATIC);
    let blend = part("blend", Range::KINEMATIC);
    let solids = part("solids", Range::DILUTION);
    let density = part("density", Range::DENSITY);
    let (base, blend) = (base?, blend?);
    if blend.value <= base.value {
        faults.push(
            Fault::at(
                Code::OutOfRange,
                format!(
                    "{what}: the polymer thickens nothing, {} is not above {} mm²/s",
                    blend.value, base.value
                ),
                blend.place,
                "with polymer",
            )
            .and(base.place, "without")
            .help(format!(
                "if the two are swapped, write `base = {}, blend = {}`",
                blend.value, base.value
            )),
        );
        return None;
    }
    // g/dL: a mass percentage times g/mL.
    let c = solids?.value * density?.value;
    let s = specific(law, blend.value / base.value, k?);
    let value = Range::INTRINSIC.check(s / c, what, &table.place, faults)?;
    Some(Figure {
        value,
        sd: None,
        from: Some(Origin::Measured),
        found_at: None,
        place: table.place.clone(),
    })
}

/// s = \[η\]·c of a relative viscosity r > 1 and a constant K ≥ 0.
///
/// ```text
/// Huggins: 1 + s + K s² = r       Martin: 1 + s·exp(K s) = r
/// ```
fn specific(law: ThickeningLaw, r: f64, k: f64) -> f64 {
    let rise = r - 1.0;
    if k < 1e-12 {
        return rise;
    }
    match law {
        ThickeningLaw::Huggins => ((1.0 + 4.0 * k * rise).sqrt() - 1.0) / (2.0 * k),
        ThickeningLaw::Martin => {
            // ln s + K s = ln(r − 1) is concave and rising in s: from a point at or below the root
            // Newton's steps overshoot once and then fall back monotonically; 60 are ample.
            let mut s = rise.min(1.0);
            for _ in 0..60 {
                let f = s.ln() + k * s - rise.ln();
                s = (s - f / (1.0 / s + k)).max(s * 1e-3);
            }
            s
        }
    }
}

#[cfg(test)]
mod tests {
    use super::specific;
    use crate::declare::problem::ThickeningLaw;

    #[test]
    fn huggins_by_hand() {
        // Worked by hand: 5.20 → 11.50 mm²/s with 1.0 % solids at 0.79 g/mL, K = 0.4.
        let s = specific(ThickeningLaw::Huggins, 11.50 / 5.20, 0.4);
        assert!((s / 0.79 - 1.130).abs() < 1e-3, "{}", s / 0.79);
    }

    #[test]
    fn martin_solves_its_equation() {
        for r in [1.0001, 1.5, 2.044_154, 30.0, 1e5] {
            for k in [0.0, 0.1, 0.45, 5.0] {
                let s = specific(ThickeningLaw::Martin, r, k);
                let back = 1.0 + s * (k * s).exp();
                assert!((back / r - 1.0).abs() < 1e-9, "r {r}, k {k}: {back}");
            }
        }
        // From the formula: s = 0.7463, K = 0.45 give a ratio of 2.044154.
        let s = specific(ThickeningLaw::Martin, 2.044_154, 0.45);
        assert!((s - 0.7463).abs() < 1e-5, "{s}");
    }
}
