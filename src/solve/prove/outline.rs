//! The outline of a tree: where its regions were cut, what narrowed them and what closed them, without the
//! regions themselves.
//!
//! A neighbouring problem needs much the same tree. Retraced, a cut costs no linear program, and a region
//! is closed by the multipliers that closed it last time, tried by plain arithmetic
//! ([`Program::bound`]). Nothing is taken on trust: cuts cover the region whatever they were made for,
//! multipliers prove whatever they are multiplied with, and a region that does not close so is looked at
//! like any other.
//!
//! [`Program::bound`]: crate::solve::program::Program::bound

use crate::solve::logic::Use;
use crate::solve::prove::branch;
use crate::solve::prove::interval::Interval;
use crate::solve::prove::memory::Inward;
use crate::solve::prove::memory::Multipliers;
use crate::solve::prove::relax::Region;
use crate::solve::prove::relax::Scalar;
use crate::solve::prove::relaxation::Relaxation;
use crate::solve::prove::tree::Node;
use crate::solve::prove::tree::Prover;
use crate::solve::prove::tree::Verdict;

/// A tree of more regions than this is not kept: what is kept of an answer stays small.
const MOST_STEPS: usize = 4000;

/// A tree that has grown by this factor since it was last found afresh has drifted: the next proof finds
/// its own.
const MOST_GROWTH: usize = 2;

/// A small tree may grow by this many regions all the same.
const FREE_GROWTH: usize = 8;

/// Where a region was cut in two.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Cut {
    /// At a value of a scalar.
    At(Scalar, f64),
    /// Into the recipes with a component and those without.
    Use(usize),
    /// Between two steps of the balance, and whether the upper one is nearer.
    Step(usize, f64, f64, bool),
}

impl Cut {
    /// The parts of a region, each with its place among the parts; together they hold every recipe of
    /// the region that keeps to the balance's steps. A part that would be empty is left out.
    pub(super) fn parts(self, region: &Region) -> Vec<(usize, Region)> {
        match self {
            Cut::At(scalar, at) => {
                let over = branch::interval(region, scalar);
                if at <= over.lo {
                    return vec![(1, region.clone())];
                }
                if at >= over.hi {
                    return vec![(0, region.clone())];
                }
                let (mut low, mut high) = (region.clone(), region.clone());
                branch::set(&mut low, scalar, Interval::new(over.lo, at));
                branch::set(&mut high, scalar, Interval::new(at, over.hi));
                vec![(0, low), (1, high)]
            }
            Cut::Use(j) if region.uses[j] != Use::Free => {
                vec![(usize::from(region.uses[j] == Use::Off), region.clone())]
            }
            Cut::Use(j) => {
                let part = |use_| {
                    let mut part = region.clone();
                    part.uses[j] = use_;
                    part
                };
                vec![(0, part(Use::On)), (1, part(Use::Off))]
            }
            Cut::Step(j, below, above, nearer_above) => {
                let (mut low, mut high) = (region.clone(), region.clone());
                low.upper[j] = low.upper[j].min(below);
                high.lower[j] = high.lower[j].max(above);
                // The nearer side is looked at first: it is taken from the end.
                if nearer_above {
                    vec![(0, low), (1, high)]
                } else {
                    vec![(1, high), (0, low)]
                }
            }
        }
    }
}

/// What closed a region.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Closing {
    /// Multipliers that prove that its relaxation has nothing better.
    Nothing(Multipliers),
    /// Multipliers that prove that its relaxation has no point.
    Empty(Multipliers),
}

/// What became of a region.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) enum Step {
    /// Nothing worth keeping.
    #[default]
    Forgotten,
    /// Closed.
    Closed(Closing),
    /// Cut, with the steps of its parts.
    Cut(Cut, [Option<usize>; 2]),
    /// Narrowed, with the step of what was left.
    Narrowed(Vec<Inward>, usize),
}

impl Step {
    /// The step of the part that has this place.
    pub(super) fn below(&self, place: usize) -> Option<usize> {
        match self {
            Step::Cut(_, ids) => ids[place],
            Step::Narrowed(_, id) => Some(*id),
            Step::Forgotten | Step::Closed(_) => None,
        }
    }
}

/// The steps of a tree, the root's first.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Outline {
    steps: Vec<Step>,
    /// How many steps it had when it was found afresh.
    fresh: usize,
}

impl Outline {
    /// The outline that a proof begins to write while this one is retraced.
    pub(super) fn next(&self) -> Self {
        Outline {
            steps: Vec::new(),
            fresh: self.fresh,
        }
    }

    /// The root's step, where there is one to retrace.
    pub(super) fn root(&self) -> Option<usize> {
        (!self.steps.is_empty()).then_some(0)
    }

    /// A region's step; one that was never looked at has none.
    pub(super) fn step(&self, at: usize) -> &Step {
        self.steps.get(at).unwrap_or(&Step::Forgotten)
    }

    /// Writes what became of a region.
    pub(super) fn write(&mut self, at: usize, step: Step) {
        if at >= self.steps.len() {
            self.steps.resize(at + 1, Step::Forgotten);
        }
        self.steps[at] = step;
    }

    /// What is worth keeping of a finished tree.
    pub(super) fn finished(mut self) -> Self {
        let steps = self.steps.len();
        if self.fresh == 0 {
            self.fresh = steps;
        }
        if steps > MOST_STEPS || steps > MOST_GROWTH * self.fresh + FREE_GROWTH {
            return Outline::default();
        }
        self
    }
}

impl Prover<'_> {
    /// What a region comes to by what became of it last time, before it is narrowed: a cut needs no more,
    /// and multipliers often prove enough of the region as it is.
    pub(super) fn retraced_at_once(&self, step: &Step, node: &Node) -> Option<Verdict> {
        match step {
            Step::Cut(cut, _) => Some(Verdict::Cut(node.bound, *cut, cut.parts(&node.region))),
            Step::Closed(_) => self.retraced(step, node),
            Step::Forgotten | Step::Narrowed(..) => None,
        }
    }

    /// What a narrowed region comes to by what became of it last time; `None` where that is nothing worth,
    /// or no longer proves anything.
    pub(super) fn retraced(&self, step: &Step, node: &Node) -> Option<Verdict> {
        match step {
            Step::Forgotten => None,
            Step::Cut(cut, _) => Some(Verdict::Cut(node.bound, *cut, cut.parts(&node.region))),
            Step::Narrowed(ends, _) => {
                let mut narrowed = node.region.clone();
                self.move_ends(&mut narrowed, ends);
                Some(Verdict::Narrowed(node.bound, narrowed, ends.clone()))
            }
            Step::Closed(closing) => {
                let proved = self.closed_again(closing, &node.region)?;
                Some(Verdict::Closed(proved, Some(closing.clone())))
            }
        }
    }

    fn closed_again(&self, closing: &Closing, region: &Region) -> Option<f64> {
        let (Closing::Nothing(multipliers) | Closing::Empty(multipliers)) = closing;
        let Relaxation { program, tags, .. } = self.program_for(region, [multipliers]);
        let y = multipliers.among(&tags);
        match closing {
            Closing::Nothing(_) => {
                let priced = program.cost.iter().any(|c| *c != 0.0);
                let proved = program.bound(&program.cost, &y);
                (priced && self.closes(proved)).then_some(proved)
            }
            Closing::Empty(_) => {
                let nothing = vec![0.0; program.width()];
                (program.bound(&nothing, &y) > 0.0).then(|| self.threshold())
            }
        }
    }
}
