//! A sweep as a picture's data: curves along one number, or a map of two.

use crate::declare::dial::Dial;
use crate::declare::dial::Setting;
use crate::declare::stops::Stops;
use crate::report::dials;
use crate::report::picture::data::Along;
use crate::report::picture::data::Axis;
use crate::report::picture::data::Band;
use crate::report::picture::data::Cell;
use crate::report::picture::data::Gap;
use crate::report::picture::data::MapPicture;
use crate::report::picture::data::Mark;
use crate::report::picture::data::Picture;
use crate::report::picture::data::Stretch;
use crate::report::picture::data::SweepPicture;
use crate::report::text::conflict;
use crate::report::text::standing::Legend;
use crate::report::text::standing::same;
use crate::report::words;
use crate::solve::answer::Party;
use crate::solve::conflict::party;
use crate::study::sweep::kept::Sweep;
use crate::study::sweep::row::Row;

/// The picture of a sweep; `None` where three things or more are varied, or nothing was solved.
#[must_use]
pub fn sweep(found: &Sweep) -> Option<Picture> {
    match (found.plan.varied(), found.rows.is_empty()) {
        ([(dial, stops)], false) => Some(Picture::Sweep(line(found, dial, stops))),
        ([first, second], false) => Some(Picture::Map(map(found, first, second))),
        _ => None,
    }
}

/// What an axis shows of a dial.
fn axis(found: &Sweep, dial: &Dial) -> Axis {
    let problem = found.plan.problem();
    let unit = words::money(&dial.unit(problem));
    Axis::new(&dials::label(problem, dial), &unit)
}

fn goal(found: &Sweep) -> Axis {
    let problem = found.plan.problem();
    let goal = &problem.goal.property;
    Axis::new(&words::property(goal), &words::money(&problem.unit(goal)))
}

/// Places of a dial's settings in the order of an axis: numbers rise, words stay as they are.
fn order(stops: &Stops, solved: usize) -> Vec<usize> {
    let mut places: Vec<usize> = (0..stops.len().min(solved)).collect();
    if places.iter().all(|&k| stops.number(k).is_some()) {
        let number = |k: usize| stops.number(k).unwrap_or_default();
        places.sort_by(|&a, &b| number(a).total_cmp(&number(b)));
        places.dedup_by(|a, b| number(*a).total_cmp(&number(*b)).is_eq());
    }
    places
}

fn along(stops: &Stops, order: &[usize]) -> Along {
    let numbers: Option<Vec<f64>> = order.iter().map(|&k| stops.number(k)).collect();
    numbers.map_or_else(
        || {
            let word = |&k: &usize| match stops.at(k) {
                Setting::Word(word) => word,
                Setting::Number(number) => number.to_string(),
            };
            Along::Words(order.iter().map(word).collect())
        },
        Along::Numbers,
    )
}

/// A stretch of an axis with what the recipe stands on there.
struct Span {
    stretch: Stretch,
    stands: Vec<Party>,
}

fn line(found: &Sweep, dial: &Dial, stops: &Stops) -> SweepPicture {
    let problem = found.plan.problem();
    let order = order(stops, found.rows.len());
    let rows: Vec<&Row> = order.iter().map(|&k| &found.rows[k]).collect();
    let along = along(stops, &order);
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
        barren(found)
    } else {
        empty_points(found, &rows, &positions)
    };
    let mut breaks: Vec<f64> = found.breaks.iter().map(|b| b.at).collect();
    breaks.sort_by(f64::total_cmp);
    SweepPicture {
        title: problem.title.clone(),
        x: axis(found, dial),
        along,
        goal: goal(found),
        goal_values: rows.iter().map(|row| row.goal).collect(),
        components: components(found, &rows),
        marks: marks(found, &spans),
        breaks,
        gaps,
    }
}

/// The treat rates of everything used, the most used first.
fn components(found: &Sweep, rows: &[&Row]) -> Vec<Band> {
    let problem = found.plan.problem();
    let rate = |row: &Row, j: usize| row.shares.get(j).map_or(0.0, |share| share * 100.0);
    let sum = |j: usize| rows.iter().map(|row| rate(row, j)).sum::<f64>();
    let mut used: Vec<usize> = (0..problem.components.len())
        .filter(|&j| sum(j) > 0.0)
        .collect();
    used.sort_by(|&a, &b| sum(b).total_cmp(&sum(a)));
    used.into_iter()
        .map(|j| Band {
            name: problem.components[j].name.clone(),
            rates: rows.iter().map(|row| rate(row, j)).collect(),
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
            let known = all.iter_mut().find(|(other, ..)| same(other, one));
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
            label: legend.words(problem, &party),
            stretches,
        })
        .collect()
}

fn barren(found: &Sweep) -> Vec<Gap> {
    let mut gaps: Vec<Gap> = found
        .barren
        .iter()
        .map(|b| Gap {
            stretch: Stretch {
                from: b.from.min(b.to),
                to: b.from.max(b.to),
            },
            reason: match b.reasons.first() {
                Some((_, parties)) => because(found, parties),
                None => String::new(),
            },
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
        match gaps.last_mut() {
            Some((last, gap)) if *last + 1 == k => {
                *last = k;
                gap.stretch.to = at;
            }
            _ => gaps.push((
                k,
                Gap {
                    stretch: Stretch { from: at, to: at },
                    reason: because(found, &row.conflict),
                },
            )),
        }
    }
    gaps.into_iter().map(|(_, gap)| gap).collect()
}

fn because(found: &Sweep, parties: &[Party]) -> String {
    let text = conflict::section(found.plan.problem(), parties);
    let words: Vec<&str> = text.split_whitespace().collect();
    words.join(" ").trim_end_matches('.').to_owned()
}

fn map(found: &Sweep, down: &(Dial, Stops), across: &(Dial, Stops)) -> MapPicture {
    let problem = found.plan.problem();
    let legend = Legend::of(&found.rows);
    let rows = order(&down.1, down.1.len());
    let columns = order(&across.1, across.1.len());
    let mut regions: Vec<String> = Vec::new();
    let mut cells = Vec::new();
    for &first in &rows {
        for &second in &columns {
            let row = found.rows.get(first * across.1.len() + second);
            let Some(row) = row.filter(|row| row.has_recipe()) else {
                cells.push(Cell {
                    goal: None,
                    region: 0,
                });
                continue;
            };
            let name = legend.set(row).join(", ");
            let region = regions.iter().position(|r| *r == name);
            let region = region.unwrap_or_else(|| {
                regions.push(name);
                regions.len() - 1
            });
            cells.push(Cell {
                goal: row.goal,
                region,
            });
        }
    }
    MapPicture {
        title: problem.title.clone(),
        x: axis(found, &across.0),
        along_x: along(&across.1, &columns),
        y: axis(found, &down.0),
        along_y: along(&down.1, &rows),
        goal: goal(found),
        cells,
        regions,
    }
}

#[expect(clippy::cast_precision_loss, reason = "a place among a few words")]
fn real(place: usize) -> f64 {
    place as f64
}
