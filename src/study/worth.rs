//! Which single unknown is worth measuring first: the same question asked again with it known.

use crate::parallel;
use crate::predict::cause::Unknown;
use crate::study::held::Basis;
use crate::study::held::Held;
use crate::study::seek;
use crate::study::wish::Wish;
use std::cmp::Ordering;

/// Most unknowns that are asked about: those with the largest part in a limit that often fails.
const ASKED: usize = 6;

/// A part of a variance below which knowing something changes nothing that would be noticed.
const NOTICED: f64 = 0.004;

/// A limit that passes more often than this has no need of better knowledge.
const SAFE: f64 = 0.9995;

/// What knowing one thing exactly is worth.
#[derive(Debug, Clone, PartialEq)]
pub struct Worth {
    /// The thing.
    pub unknown: Unknown,
    /// The goal's value at the same confidence with it known; `None` where that is still not reached.
    pub value: Option<f64>,
    /// By how much that betters the goal, in its unit; `None` where one of both is not reached.
    pub saves: Option<f64>,
    /// By how much it raises the chance that all limits pass together, with the recipe as it is.
    pub together: f64,
}

/// What each is worth at a recipe, the most first; of what there was time for. On a balance's grid it is what each
/// is worth off it, at the recipe that this one is around: steps of the grid are no matter of knowledge.
#[must_use]
pub fn of(basis: Basis, wish: Wish, (held, reached): (&Held, bool), off: &Held) -> Vec<Worth> {
    let asked = parallel::each(&candidates(held), |unknown| {
        let is_time = || !basis.clock.is_over();
        let one = || one(basis, wish, (held, reached), off, unknown);
        is_time().then(one).filter(|_| is_time())
    });
    let mut all: Vec<Worth> = asked.into_iter().flatten().collect();
    all.sort_by(|a, b| order(a, b, basis.sign()));
    all
}

/// What saves more, or brings within reach at a better value, then what helps all limits together most.
fn order(a: &Worth, b: &Worth, sign: f64) -> Ordering {
    let value = |w: &Worth| w.value.map_or(f64::INFINITY, |v| v * sign);
    value(a)
        .total_cmp(&value(b))
        .then(b.together.total_cmp(&a.together))
        .then(a.unknown.cmp(&b.unknown))
}

/// Those with the largest part in the variance of a limit that fails at all often; tests aside, which
/// are the laboratory's.
fn candidates(held: &Held) -> Vec<Unknown> {
    let causes = &held.causes;
    let Some(judgement) = &held.answer.judgement else {
        return Vec::new();
    };
    let in_need: Vec<usize> = held
        .sample
        .chances
        .limits
        .iter()
        .zip(&judgement.requirements)
        .filter(|(l, _)| l.drawn && l.pass.is_some_and(|p| p.part < SAFE))
        .filter_map(|(_, judged)| causes.place(&judged.property))
        .collect();
    let part = |unknown: &Unknown| {
        let of = |k: &usize| {
            let own = causes.causes.iter().filter(|c| unknown.covers(&c.of));
            let moved: f64 = own.map(|c| causes.moved(*k, c).powi(2)).sum();
            moved / causes.sd(*k).powi(2)
        };
        in_need.iter().map(of).fold(0.0, f64::max)
    };
    let mut all: Vec<(f64, Unknown)> = causes
        .unknowns()
        .into_iter()
        .chain([Unknown::Blend])
        .filter(|u| !matches!(u, Unknown::Test(_)))
        .map(|u| (part(&u), u))
        .filter(|(part, _)| *part >= NOTICED)
        .collect();
    all.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    all.into_iter().take(ASKED).map(|(_, u)| u).collect()
}

fn one(
    basis: Basis,
    wish: Wish,
    (held, reached): (&Held, bool),
    off: &Held,
    unknown: &Unknown,
) -> Worth {
    let known = Basis {
        known: Some(unknown),
        ..basis
    };
    let again = Held::of(known, &held.answer);
    let together = again.as_ref().map_or(0.0, |again| {
        again.sample.chances.together.part - held.sample.chances.together.part
    });
    let value = seek::knowing(known, wish, off).and_then(|known| known.value());
    let saves = value.zip(off.value()).filter(|_| reached);
    let saves = saves.map(|(value, had)| (had - value) * basis.sign());
    let on = held.value().zip(saves);
    Worth {
        together,
        saves,
        value: on.map_or(value, |(had, saves)| Some(had - saves * basis.sign())),
        unknown: unknown.clone(),
    }
}
