//! A sweep as a picture's data: curves along one number, or a map of two.

use crate::declare::dial::Dial;
use crate::declare::stops::Stops;
use crate::report::dials;
use crate::report::drawn::axes;
use crate::report::drawn::map;
use crate::report::drawn::said;
use crate::report::picture::data::Along;
use crate::report::picture::data::Band;
use crate::report::picture::data::Gap;
use crate::report::picture::data::Mark;
use crate::report::picture::data::Picture;
use crate::report::picture::data::Stretch;
use crate::report::picture::data::SweepPicture;
use crate::report::text::notes;
use crate::report::text::standing::Legend;
use crate::solve::answer::Party;
use crate::solve::answer::Status;
use crate::solve::conflict::party;
use crate::study::sweep::kept::Barren;
use crate::study::sweep::kept::Reason;
use crate::study::sweep::kept::Sweep;
use crate::study::sweep::row::Row;

/// The picture of a sweep; `None` where three things or more are varied, or nothing was solved.
#[must_use]
pub fn sweep(found: &Sweep) -> Option<Picture> {
    match (found.plan.varied(), found.rows.is_empty()) {
        ([(dial, stops)], false) => Some(Picture::Sweep(line(found, dial, stops))),
        ([first, second], false) => Some(Picture::Map(map::map(found, first, second))),
        _ => None,
    }
}

/// A stretch of an axis with what the recipe stands on there.
struct Span {
    stretch: Stretch,
    stands: Vec<Party>,
}

/// What is known at a position along the axis.
struct Spot<'a> {
    at: f64,
    goal: Option<f64>,
    shares: &'a [f64],
    /// Whether it was asked for, not found beside a change.
    asked: bool,
}

fn line(found: &Sweep, dial: &Dial, stops: &Stops) -> SweepPicture {
    let problem = found.plan.problem();
    let order = axes::order(stops, found.rows.len());
    let rows: Vec<&Row> = order.iter().map(|&k| &found.rows[k]).collect();
    let along = axes::along(stops, &order);
    let positions: Vec<f64> = match &along {
        Along::Numbers(numbers) => numbers.clone(),
        Along::Words(words) => (0..words.len()).map(real).collect(),
    };
    let spans = if found.searched {
        segments(found)
    } else {
        let each = rows.iter().zip(&positions);
        each.map(|(row, &at)| Span {
            stretch: Stretch { from: at, to: at },
            stands: row.stands.clone(),
        })
        .collect()
    };
    let gaps = if found.searched {
        barren(found, stops)
    } else {
        empty_points(found, &rows, &positions)
    };
    let spots = spots(found, &rows, &positions);
    let along = match along {
        Along::Numbers(_) => Along::Numbers(spots.iter().map(|s| s.at).collect()),
        words @ Along::Words(_) => words,
    };
    let mut breaks: Vec<f64> = found.breaks.iter().map(|b| b.at).collect();
    breaks.sort_by(f64::total_cmp);
    SweepPicture {
        title: problem.title.clone(),
        x: axes::axis(found, dial),
        along,
        asked: spots.iter().map(|s| s.asked).collect(),
        goal: axes::goal(found),
        goal_values: spots.iter().map(|s| s.goal).collect(),
        components: components(found, &spots),
        marks: marks(found, &spans),
        breaks,
        gaps,
        notes: cautions(found, &spots),
    }
}

/// A picture of recipes goes without the page that it was printed with.
fn cautions(found: &Sweep, spots: &[Spot<'_>]) -> Vec<String> {
    let used = |j: &usize| {
        let rate = |spot: &Spot<'_>| spot.shares.get(*j).copied();
        spots.iter().filter_map(rate).any(|share| share > 0.0)
    };
    let problem = found.plan.problem();
    let used: Vec<usize> = (0..problem.components.len()).filter(used).collect();
    let caution = notes::fluid(problem, &used).then(|| notes::NO_LICENCE.to_owned());
    caution.into_iter().collect()
}

/// The points, and both sides of each change between them: a recipe that jumps does not slide there.
fn spots<'a>(found: &'a Sweep, rows: &[&'a Row], positions: &[f64]) -> Vec<Spot<'a>> {
    let points = rows.iter().zip(positions).map(|(row, &at)| {
        let spot = Spot {
            at,
            goal: row.goal.filter(|_| row.has_recipe()),
            shares: &row.shares,
            asked: true,
        };
        (1, spot)
    });
    let falls = rows.first().map(|row| row.point) > rows.last().map(|row| row.point);
    let sides = found.breaks.iter().flat_map(|change| {
        let [before, after] = &change.sides;
        let rising = if falls {
            [after, before]
        } else {
            [before, after]
        };
        [0, 2].into_iter().zip(rising).map(|(rank, side)| {
            let spot = Spot {
                at: change.at,
                goal: side.goal,
                shares: &side.shares,
                asked: false,
            };
            (rank, spot)
        })
    });
    let mut all: Vec<(u8, Spot<'a>)> = points.chain(sides).collect();
    all.sort_by(|(a, here), (b, there)| here.at.total_cmp(&there.at).then(a.cmp(b)));
    all.into_iter().map(|(_, spot)| spot).collect()
}

/// The treat rates of everything used, the most used first.
fn components(found: &Sweep, spots: &[Spot<'_>]) -> Vec<Band> {
    let problem = found.plan.problem();
    let rate = |spot: &Spot<'_>, j: usize| spot.shares.get(j).map_or(0.0, |share| share * 100.0);
    let sum = |j: usize| -> f64 {
        let asked = spots.iter().filter(|spot| spot.asked);
        asked.map(|spot| rate(spot, j)).sum()
    };
    let mut used: Vec<usize> = (0..problem.components.len())
        .filter(|&j| spots.iter().any(|spot| rate(spot, j) > 0.0))
        .collect();
    used.sort_by(|&a, &b| sum(b).total_cmp(&sum(a)));
    used.into_iter()
        .map(|j| Band {
            name: problem.components[j].name.clone(),
            rates: spots.iter().map(|spot| rate(spot, j)).collect(),
        })
        .collect()
}

/// The stretches between two changes.
fn segments(found: &Sweep) -> Vec<Span> {
    let problem = found.plan.problem();
    let mut spans: Vec<Span> = Vec::new();
    for (from, to, held) in found.segments() {
        let stands = held.iter().filter_map(|r| party(problem, *r)).collect();
        let stretch = Stretch {
            from: from.min(to),
            to: from.max(to),
        };
        spans.push(Span { stretch, stands });
    }
    spans.sort_by(|a, b| a.stretch.from.total_cmp(&b.stretch.from));
    spans
}

/// Where each requirement binds: neighbouring stretches are one.
fn marks(found: &Sweep, spans: &[Span]) -> Vec<Mark> {
    let problem = found.plan.problem();
    let legend = Legend::of(&found.rows);
    let mut all: Vec<(Party, usize, Vec<Stretch>)> = Vec::new();
    for (k, span) in spans.iter().enumerate() {
        for one in &span.stands {
            let known = all.iter_mut().find(|(other, ..)| other.is(one));
            match known {
                Some((_, last, stretches)) => {
                    let joins = *last + 1 == k;
                    match stretches.last_mut() {
                        Some(stretch) if joins => stretch.to = span.stretch.to,
                        _ if *last == k => {}
                        _ => stretches.push(span.stretch),
                    }
                    *last = k;
                }
                None => all.push((one.clone(), k, vec![span.stretch])),
            }
        }
    }
    all.into_iter()
        .map(|(party, _, stretches)| Mark {
            label: said::mark(problem, &legend, &party, said::varied(found, &party)),
            stretches,
        })
        .collect()
}

fn barren(found: &Sweep, stops: &Stops) -> Vec<Gap> {
    let why = |b: &Barren| {
        if !b.proved {
            return said::OPEN.to_owned();
        }
        let reason = |reason: &Reason| {
            let because = said::because(found, &reason.parties);
            if b.reasons.len() > 1 {
                format!("at {}: {because}", dials::place(stops, reason.at))
            } else {
                because
            }
        };
        let reasons: Vec<String> = b.reasons.iter().map(reason).collect();
        reasons.join("; ")
    };
    let mut gaps: Vec<Gap> = found
        .barren
        .iter()
        .map(|b| Gap {
            stretch: Stretch {
                from: b.from.min(b.to),
                to: b.from.max(b.to),
            },
            reason: why(b),
        })
        .collect();
    gaps.sort_by(|a, b| a.stretch.from.total_cmp(&b.stretch.from));
    gaps
}

/// Points without a recipe, neighbours of one reason together.
fn empty_points(found: &Sweep, rows: &[&Row], positions: &[f64]) -> Vec<Gap> {
    let mut gaps: Vec<(usize, Gap)> = Vec::new();
    for (k, (row, &at)) in rows.iter().zip(positions).enumerate() {
        if row.has_recipe() {
            continue;
        }
        let reason = if row.status == Status::Undecided {
            said::OPEN.into()
        } else {
            said::because(found, &row.conflict)
        };
        match gaps.last_mut() {
            Some((last, gap)) if *last + 1 == k && gap.reason == reason => {
                *last = k;
                gap.stretch.to = at;
            }
            _ => {
                let stretch = Stretch { from: at, to: at };
                gaps.push((k, Gap { stretch, reason }));
            }
        }
    }
    gaps.into_iter().map(|(_, gap)| gap).collect()
}

#[expect(clippy::cast_precision_loss, reason = "a place among a few words")]
fn real(place: usize) -> f64 {
    place as f64
}
