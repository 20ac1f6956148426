//! What each limit that holds the recipe costs, how far that is so, and what gives way.

use crate::declare::problem::Problem;
use crate::declare::problem::Sense;
use crate::explain::knob::Knob;
use crate::explain::price::Move;
use crate::explain::price::Price;
use crate::explain::price::Way;
use crate::predict::value::Judged;
use crate::predict::value::Judgement;
use crate::report::bound::Bound;
use crate::report::number;
use crate::report::step;
use crate::report::table;
use crate::report::turns;
use crate::report::words;

/// Relative distance from a round number within which a range's end is that number.
const ROUND: f64 = 2e-6;

/// Digits of what a step costs.
const DIGITS: i32 = 2;

/// Components named where something gives way.
const NAMED: usize = 4;

/// A change of a treat rate below this, mass %, gives no way.
const STILL: f64 = 5e-4;

/// A price that differs from another by less than this part is the same as printed.
const SAME: f64 = 0.1;

/// A step that costs less than this part of the goal costs nothing that could be weighed.
const NOTHING: f64 = 1e-6;

/// The prices, the dearest step first; empty where nothing has one.
#[must_use]
pub fn section(problem: &Problem, judgement: &Judgement, goal: f64, prices: &[Price]) -> String {
    let mut lines: Vec<(f64, String)> = Vec::new();
    let mut free: Vec<String> = Vec::new();
    for (k, price) in prices.iter().enumerate() {
        let twin = |other: &Price| {
            price.exact
                && other.exact
                && other.bound.total_cmp(&price.bound).is_eq()
                && other.knob == price.knob
        };
        if prices[..k].iter().any(twin) {
            continue;
        }
        let judged = &judgement.requirements[price.requirement];
        let told = Told {
            problem,
            judged,
            price,
            goal,
        };
        match told.worth() {
            Some(worth) if worth <= NOTHING * goal.abs().max(1e-3) => free.push(told.phrase()),
            worth => lines.push((worth.unwrap_or(f64::INFINITY), told.sentences())),
        }
    }
    if lines.is_empty() && free.is_empty() {
        return String::new();
    }
    lines.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut text: String = lines.iter().map(|(_, line)| table::item(line)).collect();
    if !free.is_empty() {
        text += &table::item(&format!(
            "The recipe also stands on this, and it costs nothing: {}.",
            words::list(&free)
        ));
    }
    format!("What the limits cost\n{text}")
}

struct Told<'a> {
    problem: &'a Problem,
    judged: &'a Judged,
    price: &'a Price,
    goal: f64,
}

impl Told<'_> {
    /// `KV100 at most 19.5 mm²/s`.
    fn phrase(&self) -> String {
        let bound = Bound::judged(self.judged);
        if self.price.exact {
            let property = words::property(&self.judged.property);
            format!("{property} exactly {}", bound.number())
        } else {
            bound.worded()
        }
    }

    /// The value of a range's end, rounded inwards, with the digits that tell it from the bound.
    fn end(&self, value: f64) -> String {
        let (property, bound) = (&self.judged.property, self.price.bound);
        let way = (value - bound).abs();
        let usual = number::places(property, value);
        let places = if way < 10.0 * 10_f64.powi(-usual) {
            number::places_to_tell(property, value, 0.1 * way)
        } else {
            usual
        };
        let unit = 10_f64.powi(places);
        // What stands on a round number stays there.
        let dust = ROUND * value.abs() * unit;
        let inwards = if value > bound {
            (value * unit + dust).floor()
        } else {
            (value * unit - dust).ceil()
        };
        number::fixed(inwards / unit, places)
    }

    /// The step that a formulator would take, whether or not it stays within the range.
    fn natural(&self) -> f64 {
        step::natural(&self.judged.property, self.price.bound)
    }

    /// One step for both sides, which stays within the shorter range.
    fn step(&self) -> f64 {
        let way = [&self.price.raised, &self.price.lowered]
            .into_iter()
            .filter_map(|side| Some((side.end()?.at? - self.price.bound).abs()))
            .fold(f64::INFINITY, f64::min);
        step::within(&self.judged.property, self.price.bound, way)
    }

    /// What the dearer side's step is worth.
    fn worth(&self) -> Option<f64> {
        [&self.price.raised, &self.price.lowered]
            .into_iter()
            .filter_map(|side| Some(side.per_unit()?.abs() * self.natural()))
            .reduce(f64::max)
    }

    fn sentences(&self) -> String {
        let mut all = format!("{}: ", self.phrase());
        let (tight, loose) = (self.price.tightened(), self.price.loosened());
        let more = |side: &Move| std::ptr::eq(side, &raw const self.price.raised);
        let both = self.price.per_unit().is_some();
        all += &self.cost(loose, more(loose));
        if both {
            all += if more(tight) { "; more " } else { "; less " };
            all += self.costs(self.change(tight).unwrap_or(0.0));
            all += " as much.";
        } else {
            all += "; ";
            all += &self.cost(tight, more(tight));
            all += ".";
        }
        all += &self.range();
        all += &self.gives_way(tight, more(tight));
        all
    }

    /// Change of the goal by a step on one side.
    fn change(&self, side: &Move) -> Option<f64> {
        let sign = if std::ptr::eq(side, &raw const self.price.raised) {
            1.0
        } else {
            -1.0
        };
        Some(sign * side.per_unit()? * self.step())
    }

    /// Whether a change of the goal is for the worse.
    fn is_worse(&self, change: f64) -> bool {
        (change > 0.0) == (self.problem.goal.sense == Sense::Minimise)
    }

    fn costs(&self, change: f64) -> &'static str {
        let money = self.problem.goal.property.is_money();
        match (money, self.is_worse(change), change > 0.0) {
            (true, true, _) => "costs",
            (true, false, _) => "saves",
            (false, _, true) => "raises it",
            (false, _, false) => "lowers it",
        }
    }

    /// `0.1 mm²/s more saves 0.0023 EUR/kg`.
    fn cost(&self, side: &Move, more: bool) -> String {
        let way = if more { "more" } else { "less" };
        let step = words::with_unit(&number::as_written(self.step()), &self.judged.unit);
        match (side, self.change(side)) {
            (Move::NoRecipe, _) => format!("any {way} leaves no recipe"),
            (_, None) => format!("what {way} would do could not be followed"),
            (_, Some(change))
                if change.abs() / self.step() * self.natural() <= NOTHING * self.goal.abs() =>
            {
                format!("{step} {way} changes nothing")
            }
            (_, Some(change)) => {
                let goal = &self.problem.goal.property;
                let amount = words::with_unit(
                    &number::digits(change.abs(), DIGITS),
                    &self.problem.unit(goal),
                );
                let verb = match (goal.is_money(), change > 0.0) {
                    (true, _) => format!("{} {amount}", self.costs(change)),
                    (_, true) => format!("raises the {} by {amount}", words::property(goal)),
                    (_, false) => format!("lowers the {} by {amount}", words::property(goal)),
                };
                format!("{step} {way} {verb}")
            }
        }
    }

    fn own(&self) -> &[usize] {
        match &self.price.knob {
            Knob::Limits(all) => all,
            _ => &[],
        }
    }

    /// How far the price holds.
    fn range(&self) -> String {
        let mut parts = Vec::new();
        for (side, name) in [
            (&self.price.lowered, "down to"),
            (&self.price.raised, "up to"),
        ] {
            let Move::Priced {
                per_unit,
                at_end,
                end,
                ..
            } = side
            else {
                continue;
            };
            let Some(at) = end.at else { continue };
            let nearby = if end.sure { "" } else { "at least " };
            let drift = (at_end - per_unit).abs() > SAME * per_unit.abs().max(at_end.abs());
            let by_then = if drift {
                let step = self.step();
                format!(
                    " ({} by then)",
                    number::digits((at_end * step).abs(), DIGITS)
                )
            } else {
                String::new()
            };
            parts.push(format!(
                "{name} {nearby}{}{by_then}, where {},",
                self.end(at),
                turns::clause(self.problem, end, self.own())
            ));
        }
        if parts.is_empty() {
            String::new()
        } else {
            let all = words::list(&parts);
            format!(" This holds {}.", all.trim_end_matches(','))
        }
    }

    /// What goes up and down when the limit is tightened by a step.
    fn gives_way(&self, side: &Move, more: bool) -> String {
        let Move::Priced { shift, .. } = side else {
            return String::new();
        };
        let by = self.step() * if more { 1.0 } else { -1.0 };
        let mut moved: Vec<(usize, f64)> = shift
            .iter()
            .map(|(j, s)| (*j, s * by))
            .filter(|(_, s)| s.abs() >= STILL)
            .collect();
        moved.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
        if moved.is_empty() {
            return String::new();
        }
        let named: Vec<String> = moved
            .iter()
            .take(NAMED)
            .map(|(j, s)| {
                format!(
                    "{} {}{}",
                    self.problem.components[*j].id,
                    if *s > 0.0 { "+" } else { "-" },
                    number::digits(s.abs(), DIGITS)
                )
            })
            .collect();
        let way = match (self.price.tighter, more) {
            (Some(Way::Up), _) | (None, true) => "more",
            (Some(Way::Down), _) | (None, false) => "less",
        };
        format!(
            " With {} {way}, mass %: {}.",
            words::with_unit(&number::as_written(self.step()), &self.judged.unit),
            named.join(", ")
        )
    }
}
