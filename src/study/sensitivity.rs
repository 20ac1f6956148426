//! What small moves do to the goal: each limit moved by what its test can tell, each price by a part.
//!
//! Every move is a certified solve of the problem with that one number moved. Two are spared, because
//! their answer is known: a limit that is tightened and that the best recipe still meets, and a dearer
//! price of something that it does not use; either leaves the best recipe the best.

use crate::declare::component::EdgeSource;
use crate::declare::problem::LimitSource;
use crate::declare::problem::Problem;
use crate::declare::problem::Rule;
use crate::declare::problem::Sense;
use crate::declare::problem::Side;
use crate::declare::property::Datum;
use crate::declare::property::Property;
use crate::declare::requirement;
use crate::declare::requirement::Requirement;
use crate::explain::knob::Knob;
use crate::explain::lever;
use crate::explain::lever::Lever;
use crate::parallel;
use crate::predict::judge;
use crate::predict::value::Judged;
use crate::predict::value::Source;
use crate::quantity::Share;
use crate::solve::search;
use crate::solve::search::Budget;
use crate::study::clock::Clock;
use crate::study::solved::Solved;

/// Relative gap of every solve: what two proofs leave open stays below the last digit told.
const GAP: f64 = 1e-6;

/// Effects below this part of the goal are none: two proofs leave as much open.
pub const NOTHING: f64 = 3e-6;

/// A number is moved to a tidy one, at most this part of its step beyond.
const TIDY: f64 = 0.004;

/// Most regions of one proof.
const NODES: usize = 20_000;

/// What is moved.
#[derive(Debug, Clone, PartialEq)]
pub enum What {
    /// Limits on one side of a property, or both sides at once where they are one number.
    Bound {
        /// What is bounded.
        property: Property,
        /// From which side; `None` where the number is exact.
        side: Option<Side>,
        /// The requirements that move.
        requirements: Vec<Requirement>,
        /// Who set the one that is obeyed.
        source: Source,
        /// Whether the step is the reproducibility of a test method.
        tested: bool,
    },
    /// How many components may be used, by the place of the rule.
    Count(usize),
    /// The price of a component.
    Price(usize),
}

/// One number moved both ways.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// What is moved.
    pub what: What,
    /// Its number, in the property's unit, mass %, a count or money per kg.
    pub from: f64,
    /// By how much it was asked to move.
    pub step: f64,
    /// What it does when it is lowered, and when it is raised.
    pub moves: [Move; 2],
}

/// A number moved one way.
#[derive(Debug, Clone, PartialEq)]
pub struct Move {
    /// Where to: by the step, up to a tidy number, or by less where the number ends before.
    pub to: f64,
    /// What comes of it.
    pub effect: Effect,
}

/// What a move does.
#[derive(Debug, Clone, PartialEq)]
pub enum Effect {
    /// The goal stays, as far as is told apart.
    Nothing,
    /// The goal changes by so much, in its unit; the best recipe then.
    Changes(f64, Box<Solved>),
    /// There is no recipe; the search that says so.
    NoRecipe(Box<Solved>),
    /// Neither a proved recipe nor a proof that there is none was found.
    Open,
    /// It cannot be moved that way.
    Fixed,
}

/// All rows, the greatest effect first.
#[derive(Debug, Clone, PartialEq)]
pub struct Sensitivity {
    /// The problem as it is.
    pub base: Solved,
    /// The rows that change something.
    pub rows: Vec<Row>,
    /// The rows that change nothing, in the problem's order.
    pub still: Vec<Row>,
}

impl Row {
    /// Which of the two moves tightens; `None` for an exact number.
    #[must_use]
    pub fn tighter(&self) -> Option<usize> {
        match &self.what {
            What::Bound { side, .. } => side.map(|s| usize::from(s == Side::Min)),
            What::Count(_) => Some(0),
            What::Price(_) => Some(1),
        }
    }

    /// The size of the greater effect; infinite where a move leaves no recipe.
    #[must_use]
    pub fn size(&self) -> f64 {
        self.moves
            .iter()
            .map(|m| match &m.effect {
                Effect::Changes(by, _) => by.abs(),
                Effect::NoRecipe(_) => f64::INFINITY,
                Effect::Nothing | Effect::Open | Effect::Fixed => 0.0,
            })
            .fold(0.0, f64::max)
    }

    /// Whether neither move does anything, and both are settled.
    fn is_still(&self) -> bool {
        let quiet = |m: &Move| matches!(m.effect, Effect::Nothing | Effect::Fixed);
        self.moves.iter().all(quiet)
    }
}

/// The effect of every limit, grade, class, treat band and count, each moved by its test's
/// reproducibility, or a step of [`lever`] where there is none.
#[must_use]
pub fn limits(problem: &Problem, budget: &Budget) -> Sensitivity {
    study(problem, &bounds(problem), budget)
}

/// The effect of every price, moved by this part of itself.
#[must_use]
pub fn prices(problem: &Problem, part: f64, budget: &Budget) -> Sensitivity {
    let priced = problem.components.iter().enumerate().filter_map(|(j, c)| {
        let price = c.figure(&Datum::Price)?.value;
        let used = problem.bands[j].max.share > Share::NONE;
        (used && price > 0.0).then(|| Asked::new(What::Price(j), price, part * price))
    });
    let priced: Vec<Asked> = priced.collect();
    study(problem, &priced, budget)
}

/// A number to move.
struct Asked {
    what: What,
    from: f64,
    step: f64,
    to: [Option<f64>; 2],
}

impl Asked {
    fn new(what: What, from: f64, step: f64) -> Self {
        Asked {
            to: [Some(from - step), Some(from + step)],
            what,
            from,
            step,
        }
    }
}

fn bounds(problem: &Problem) -> Vec<Asked> {
    let levers = lever::levers(problem, &requirement::every(problem));
    let mut all: Vec<Asked> = Vec::new();
    for lever in &levers {
        let twin = all.iter_mut().find(|asked| is_twin(asked, lever));
        if let (Some(asked), Some(_)) = (twin, lever.from) {
            if let What::Bound {
                side, requirements, ..
            } = &mut asked.what
            {
                *side = None;
                requirements.extend(obeyed(problem, lever));
            }
            continue;
        }
        all.extend(asked(problem, lever));
    }
    all
}

/// Whether a lever is the other side of a number that is moved already: an exact one.
fn is_twin(asked: &Asked, lever: &Lever) -> bool {
    let (Some((property, side)), Some(from)) = (&lever.bounds, lever.from) else {
        return false;
    };
    let if_used = |r: &Requirement| matches!(r, Requirement::IfUsed(_));
    matches!(&asked.what, What::Bound { property: p, side: Some(s), requirements, .. }
        if p == property && s != side
            && !requirements.iter().chain(&lever.requirements).any(if_used))
        && asked.from.total_cmp(&from).is_eq()
}

/// The requirements of a lever that are obeyed: those with its number.
fn obeyed(problem: &Problem, lever: &Lever) -> Vec<Requirement> {
    let tightest = |r: &&Requirement| {
        requirement::bound(problem, **r)
            .zip(lever.from)
            .is_some_and(|(own, from)| own.total_cmp(&from).is_eq())
    };
    lever
        .requirements
        .iter()
        .filter(tightest)
        .copied()
        .collect()
}

fn asked(problem: &Problem, lever: &Lever) -> Option<Asked> {
    let Some((property, side)) = &lever.bounds else {
        return match lever.requirements[..] {
            [Requirement::Rule(r)] if matches!(problem.rules[r], Rule::AtMost(..)) => {
                Some(Asked::new(What::Count(r), lever.from?, 1.0))
            }
            _ => None,
        };
    };
    let first = *obeyed(problem, lever).first()?;
    let what = What::Bound {
        property: property.clone(),
        side: Some(*side),
        // What is looser already must not be left behind where the tightest gives way.
        requirements: lever.requirements.clone(),
        source: source(problem, first),
        tested: lever.tested,
    };
    let steps = match side {
        Side::Min => [1.0, -1.0],
        Side::Max => [-1.0, 1.0],
    };
    Some(Asked {
        what,
        from: lever.from?,
        step: lever.step?,
        to: steps.map(|s| Some(lever.tidy(lever.after(s)?, TIDY))),
    })
}

fn source(problem: &Problem, requirement: Requirement) -> Source {
    let band = |j: usize| &problem.bands[j];
    match requirement {
        Requirement::Limit(l) => Source::Limit(problem.limits[l].source.clone()),
        Requirement::Edge(j, Side::Min) => Source::Band(band(j).min.source),
        Requirement::Edge(j, Side::Max) => Source::Band(band(j).max.source),
        Requirement::IfUsed(j) => {
            let edge = band(j).if_used.as_ref();
            Source::IfUsed(edge.map_or(EdgeSource::Problem, |e| e.source))
        }
        Requirement::Rule(_) | Requirement::Whole => Source::Limit(LimitSource::Problem),
    }
}

/// The problem with a number moved.
#[must_use]
pub fn moved(problem: &Problem, what: &What, from: f64, to: f64) -> Problem {
    match what {
        What::Bound {
            side, requirements, ..
        } => {
            let changes: Vec<(Requirement, Option<f64>)> = requirements
                .iter()
                .filter(|r| moves(problem, **r, *side, from, to))
                .map(|r| (*r, Some(to)))
                .collect();
            requirement::changed(problem, &changes)
        }
        What::Count(rule) => requirement::changed(problem, &[(Requirement::Rule(*rule), Some(to))]),
        What::Price(j) => Knob::Price(*j).at(problem, to),
    }
}

/// Whether one of several requirements moves with the tightest of them: where it gives way, those that
/// it would overtake; where it tightens, it alone.
fn moves(problem: &Problem, of: Requirement, side: Option<Side>, from: f64, to: f64) -> bool {
    let Some(own) = requirement::bound(problem, of) else {
        return false;
    };
    let obeyed = own.total_cmp(&from).is_eq();
    match side {
        Some(Side::Min) if to < from => own > to,
        Some(Side::Max) if to > from => own < to,
        _ => obeyed,
    }
}

fn study(problem: &Problem, asked: &[Asked], budget: &Budget) -> Sensitivity {
    let clock = Clock::start(&Budget {
        nodes: budget.nodes.min(NODES),
        ..budget.clone()
    });
    let base = Solved::of(problem.clone(), &clock.left_to(GAP));
    let mut rows = Vec::new();
    if base.recipe().is_some() {
        rows = parallel::each(asked, |asked| {
            let one = |to: Option<f64>| match to {
                Some(to) => Move {
                    to,
                    effect: effect(&base, asked, to, &clock),
                },
                None => Move {
                    to: asked.from,
                    effect: Effect::Fixed,
                },
            };
            Row {
                what: asked.what.clone(),
                from: asked.from,
                step: asked.step,
                moves: asked.to.map(one),
            }
        });
    }
    let (still, mut rows): (Vec<Row>, Vec<Row>) = rows.into_iter().partition(Row::is_still);
    // Equal ones keep the problem's order.
    rows.sort_by(|a, b| b.size().total_cmp(&a.size()));
    Sensitivity { base, rows, still }
}

fn effect(base: &Solved, asked: &Asked, to: f64, clock: &Clock) -> Effect {
    let way = (to - asked.from).abs();
    if way <= f64::EPSILON * asked.from.abs() {
        return Effect::Fixed;
    }
    let problem = moved(&base.problem, &asked.what, asked.from, to);
    if is_known(base, asked, to, &problem) {
        return Effect::Nothing;
    }
    let solved = Solved::of(problem, &clock.left_to(GAP));
    if solved.none() {
        return Effect::NoRecipe(Box::new(solved));
    }
    let (Some(was), Some(is)) = (base.value(), solved.value()) else {
        return Effect::Open;
    };
    let open = |s: &Solved| s.answer.proof.gap.is_none_or(|gap| gap > search::GAP);
    if open(base) || open(&solved) {
        return Effect::Open;
    }
    let change = is - was;
    if change.abs() <= NOTHING * was.abs() || is_backwards(base, asked, to, change) {
        return Effect::Nothing;
    }
    Effect::Changes(change, Box::new(solved))
}

/// Whether the best recipe is known to stay the best: what tightens takes others away, and it is still
/// there at the same cost.
fn is_known(base: &Solved, asked: &Asked, to: f64, problem: &Problem) -> bool {
    let Some((recipe, _)) = base.recipe() else {
        return false;
    };
    match &asked.what {
        // A goal that looks for money finds more of it where something is dearer.
        What::Price(j) => {
            let saves = base.problem.goal.sense == Sense::Minimise;
            saves && to > asked.from && recipe.shares()[*j] <= Share::NONE
        }
        What::Bound { side: None, .. } => false,
        What::Bound {
            side: Some(side),
            property,
            ..
        } => {
            let tighter = (*side == Side::Min) == (to > asked.from);
            let own = |r: &&Judged| r.property == *property && r.side == *side;
            let judged = judge::judge(problem, recipe);
            let mut own = judged.requirements.iter().filter(own);
            // On the bound counts as met within a tolerance; only inside is surely so.
            tighter && own.all(|r| r.margin.is_none_or(|m| m >= 0.0))
        }
        What::Count(_) => {
            let judged = judge::judge(problem, recipe);
            to < asked.from && judged.rules.iter().all(|r| r.holds)
        }
    }
}

/// A goal that worsens where a limit gives way, or betters where one tightens, does so within what the
/// proofs leave open.
fn is_backwards(base: &Solved, asked: &Asked, to: f64, change: f64) -> bool {
    let up = to > asked.from;
    let tightens = match &asked.what {
        What::Bound {
            side: Some(side), ..
        } => (*side == Side::Min) == up,
        What::Count(_) => !up,
        What::Bound { side: None, .. } | What::Price(_) => return false,
    };
    let worse = (change > 0.0) == (base.problem.goal.sense == Sense::Minimise);
    tightens != worse
}
