//! Treat bands: what a shelf and a problem ask, and the band that results.

use super::figure::amount;
use super::range::Range;
use super::tree::Node;
use super::words::only;
use crate::declare::component::{Band, Edge, EdgeSource};
use crate::fault::{Code, Fault};
use crate::quantity::Share;

/// What one table asks of a component's treat rate.
pub(super) struct Asked {
    pub(super) min: Option<Edge>,
    pub(super) max: Option<Edge>,
    pub(super) if_used: Option<Edge>,
    pub(super) overrides: bool,
}

/// A table such as `{ min = 0.0, max = 12.0, if-used = 8.0 }`.
pub(super) fn asked(
    node: Node<'_>,
    what: &str,
    source: EdgeSource,
    faults: &mut Vec<Fault>,
) -> Option<Asked> {
    if let Some(value) = node.as_number() {
        faults.push(node.wrong_type(what, "a table").help(format!(
            "write `{{ exactly = {value} }}`, `{{ min = {value} }}` or `{{ max = {value} }}`"
        )));
        return None;
    }
    let table = node.table(what, faults)?;
    let of_problem = source == EdgeSource::Problem;
    let keys: &[&str] = if of_problem {
        &["min", "max", "if-used", "exactly", "override"]
    } else {
        &["min", "max", "if-used"]
    };
    only(&table, what, keys, faults);
    let mut edge = |key: &str| {
        let node = table.get(key)?;
        let value = amount(node, &format!("`{key}` of {what}"), &Range::PERCENT, faults)?.value;
        Some(Edge {
            share: Share::from_percent(value),
            source,
            place: Some(node.place()),
        })
    };
    let (min, max, if_used) = (edge("min"), edge("max"), edge("if-used"));
    let exactly = if of_problem { edge("exactly") } else { None };
    let overrides = of_problem
        && table
            .get("override")
            .and_then(|node| node.flag(&format!("`override` of {what}"), faults))
            .unwrap_or(false);
    if let (Some(exact), Some(other)) = (&exactly, min.as_ref().or(max.as_ref()))
        && let (Some(a), Some(b)) = (&exact.place, &other.place)
    {
        faults.push(
            Fault::at(
                Code::KeysTogether,
                format!("{what} says `exactly` and a bound beside it"),
                a.clone(),
                "exactly this",
            )
            .and(b.clone(), "and this bound")
            .help("keep `exactly`, or `min` and `max`"),
        );
    }
    let asked = Asked {
        min: exactly.clone().or(min),
        max: exactly.or(max),
        if_used,
        overrides,
    };
    Some(asked)
}

/// The band that one table alone makes of 0 % to 100 %.
pub(super) fn band(asked: Asked, id: &str, faults: &mut Vec<Fault>) -> Band {
    let natural = Band::natural();
    let band = Band {
        min: asked.min.unwrap_or(natural.min),
        max: asked.max.unwrap_or(natural.max),
        if_used: asked.if_used,
        without_stock: None,
    };
    not_empty(&band, id, faults);
    band
}

/// The shelf's band narrowed by the problem's wish; a fault where the wish is wider.
pub(super) fn narrowed(shelf: &Band, asked: Asked, id: &str, faults: &mut Vec<Fault>) -> Band {
    if !asked.overrides {
        let before = faults.len();
        let exactly = asked.min == asked.max;
        let max = asked.max.as_ref().filter(|_| !exactly);
        for edge in asked.min.iter().chain(max) {
            inside(shelf, edge, id, faults);
        }
        if let (Some(wish), Some(supplier)) = (&asked.if_used, &shelf.if_used)
            && wish.share < supplier.share
        {
            faults.push(widened(wish, supplier, id, "below"));
        }
        if faults.len() > before {
            return shelf.clone();
        }
    }
    let band = Band {
        min: asked.min.unwrap_or_else(|| shelf.min.clone()),
        max: asked.max.unwrap_or_else(|| shelf.max.clone()),
        if_used: asked.if_used.or_else(|| {
            let kept = shelf.if_used.clone();
            kept.filter(|_| !asked.overrides)
        }),
        without_stock: None,
    };
    not_empty(&band, id, faults);
    band
}

fn inside(shelf: &Band, wish: &Edge, id: &str, faults: &mut Vec<Fault>) {
    if wish.share < shelf.min.share {
        faults.push(widened(wish, &shelf.min, id, "below"));
    } else if wish.share > shelf.max.share {
        faults.push(widened(wish, &shelf.max, id, "above"));
    }
}

fn widened(wish: &Edge, supplier: &Edge, id: &str, way: &str) -> Fault {
    let title = format!(
        "{} % of `{id}` is {way} the supplier's {} %",
        rate(wish.share),
        rate(supplier.share)
    );
    let place = wish.place.clone().unwrap_or(crate::fault::Place {
        file: 0,
        span: 0..0,
    });
    let mut fault = Fault::at(
        Code::WidenedBand,
        title,
        place,
        "outside the supplier's band",
    );
    if let Some(place) = &supplier.place {
        fault = fault.and(place.clone(), "the supplier's edge");
    }
    fault.help(format!(
        "stay inside the band, or write `{id} = {{ …, override = true }}` if the supplier agrees"
    ))
}

/// A fault where a band holds no treat rate.
fn not_empty(band: &Band, id: &str, faults: &mut Vec<Fault>) {
    let used = band
        .if_used
        .as_ref()
        .filter(|_| band.max.share > Share::NONE);
    let (low, words) = match used {
        Some(edge) if edge.share > band.min.share => (edge, "at least this when it is used"),
        _ => (&band.min, "the minimum"),
    };
    if low.share <= band.max.share {
        return;
    }
    let title = format!(
        "the treat band of `{id}` is empty: {} % is above {} %",
        rate(low.share),
        rate(band.max.share)
    );
    let Some(place) = band.max.place.clone().or_else(|| low.place.clone()) else {
        return;
    };
    let mut fault = Fault::at(Code::EmptyBand, title, place.clone(), "the maximum");
    match &low.place {
        Some(other) if *other != place => fault = fault.and(other.clone(), words),
        _ => {}
    }
    faults.push(fault.help(format!(
        "lower the minimum or raise the maximum; to leave it out, write `{id} = {{ max = 0 }}` in the problem's `[treat]`"
    )));
}

/// A treat rate as printed, without the dust of dividing by a hundred.
pub(super) fn rate(share: Share) -> f64 {
    (share.percent() * 1e6).round() / 1e6
}
