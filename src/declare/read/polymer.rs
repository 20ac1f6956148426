//! The polymer of a viscosity modifier, given directly or fitted to a measured thickening.

use super::figure::{Allowance, figure, missing};
use super::range::Range;
use super::tree::{Node, Table};
use super::words::only;
use crate::declare::component::{Figure, Origin, Polymer, Thickened};
use crate::declare::problem::ThickeningLaw;
use crate::declare::thickening;
use crate::fault::{Code, Fault};

/// The keys of what a polymer may state beyond [`Polymer::KEYS`].
const OPTIONAL: [&str; 2] = ["ssi-krl", "mrv-thickening"];

/// The polymer table of the component named `id`.
pub(super) fn polymer(
    node: Node<'_>,
    id: &str,
    law: ThickeningLaw,
    faults: &mut Vec<Fault>,
) -> Option<Polymer> {
    let what = format!("`polymer` of `{id}`");
    let table = node.table(&what, faults)?;
    let keys: Vec<&str> = Polymer::KEYS.into_iter().chain(OPTIONAL).collect();
    only(&table, &what, &keys, faults);
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
    let (iv40, iv100, iv150) = (intrinsic("iv40"), intrinsic("iv100"), intrinsic("iv150"));
    let ((iv40, at40), (iv100, at100), (iv150, at150)) = (iv40?, iv100?, iv150?);
    Some(Polymer {
        solids: solids?,
        iv40,
        iv100,
        iv150,
        k: k?,
        hths_loss: hths_loss?,
        ssi: ssi?,
        ssi_krl,
        ccs_thickening: ccs_thickening?,
        mrv_thickening,
        fitted: [at40, at100, at150],
    })
}

fn intrinsic(
    polymer: &Table<'_>,
    id: &str,
    key: &str,
    law: ThickeningLaw,
    k: Option<f64>,
    faults: &mut Vec<Fault>,
) -> Option<(Figure, Option<Thickened>)> {
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
        Some(table) if table.get("blend").is_some() => {
            let (figure, thickened) = measured(&table, &what, law, k, faults)?;
            Some((figure, Some(thickened)))
        }
        _ => figure(node, &what, &Allowance::from(Range::INTRINSIC), faults).map(|f| (f, None)),
    }
}

/// The intrinsic viscosity that a measured thickening says.
fn measured(
    table: &Table<'_>,
    what: &str,
    law: ThickeningLaw,
    k: Option<f64>,
    faults: &mut Vec<Fault>,
) -> Option<(Figure, Thickened)> {
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
    let thickened = Thickened {
        ratio: blend.value / base.value,
        // g/dL: a mass percentage times g/mL.
        concentration: solids?.value * density?.value,
    };
    let value = thickening::intrinsic(law, thickened, k?);
    let value = Range::INTRINSIC.check(value, what, &table.place, faults)?;
    let figure = Figure {
        value,
        sd: None,
        from: Some(Origin::Measured),
        found_at: None,
        place: table.place.clone(),
    };
    Some((figure, thickened))
}
