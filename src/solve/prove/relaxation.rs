//! A region's linear program: the exact rows, the region's walls, the rows of its bends, and the goal.

use crate::solve::program::Program;
use crate::solve::program::Row;
use crate::solve::prove::memory::Multipliers;
use crate::solve::prove::relax;
use crate::solve::prove::relax::BendRow;
use crate::solve::prove::relax::Region;
use crate::solve::prove::relax::Tag;
use crate::solve::prove::tree::Prover;
use crate::solve::task::Goal;

/// A region's linear program.
pub(super) struct Relaxation {
    pub(super) program: Program,
    /// What each of its rows is.
    pub(super) tags: Vec<Tag>,
    /// The rows of bends, each with the bend it is of.
    pub(super) bends: Vec<(usize, BendRow)>,
}

/// Room above nothing in a curved goal's cutoff row, for the back end's tolerance.
const CUTOFF_ROOM: f64 = 1e-7;

/// The goal's own row among the bends of a program.
pub(super) const GOAL: usize = usize::MAX;

impl Prover<'_> {
    /// The relaxation of a region with its bend rows and its goal.
    pub(super) fn program(&self, region: &Region) -> Relaxation {
        self.program_of(region, None)
    }

    /// The same of no other rows than those that have multipliers: what these prove of it they prove of
    /// the whole.
    pub(super) fn program_for<'m>(
        &self,
        region: &Region,
        multipliers: impl IntoIterator<Item = &'m Multipliers>,
    ) -> Relaxation {
        let tags: Vec<Tag> = multipliers
            .into_iter()
            .flat_map(Multipliers::tags)
            .collect();
        self.program_of(region, Some(&tags))
    }

    fn program_of(&self, region: &Region, only: Option<&[Tag]>) -> Relaxation {
        let wanted = |tag: Tag| only.is_none_or(|only| only.contains(&tag));
        let bends_wanted = |i: usize| {
            let of = |tag: &Tag| matches!(tag, Tag::Bend(bend, _) if *bend == i);
            only.is_none_or(|only| only.iter().any(of))
        };
        let (mut program, mut tags) = self.model.program(self.task, region, &wanted);
        let mut bends = Vec::new();
        for (i, bend) in self.model.bends.iter().enumerate() {
            if region.kept[i] || !bends_wanted(i) {
                continue;
            }
            for (k, row) in self
                .model
                .rows(self.task, region, bend)
                .into_iter()
                .enumerate()
            {
                program.rows.push(row.row.clone());
                tags.push(Tag::Bend(i, k));
                bends.push((i, row));
            }
        }
        if let Some(weights) = self.linear() {
            program.cost.clone_from(weights);
            if let Some(target) = self.target() {
                program.rows.push(Row {
                    coefficients: weights.clone(),
                    lower: f64::NEG_INFINITY,
                    upper: target + self.cutoff_slack(),
                });
                tags.push(Tag::Cutoff);
            }
        } else if let Some((cost, row)) = self.goal_row(region) {
            // What does not reach the target cannot be an improvement: cut it off.
            program.rows.push(Row {
                coefficients: cost.clone(),
                lower: f64::NEG_INFINITY,
                upper: CUTOFF_ROOM,
            });
            tags.push(Tag::Cutoff);
            program.cost = cost;
            bends.extend(row.map(|r| (GOAL, r)));
        }
        Relaxation {
            program,
            tags,
            bends,
        }
    }

    /// Room above the target in the cutoff row: points worth finding stay well inside.
    fn cutoff_slack(&self) -> f64 {
        self.best
            .as_ref()
            .map_or(0.0, |b| 2.0 * self.limits.gain(b.goal))
    }

    /// A curved goal's "goal minus target" as a linear function that is below it over the region:
    /// its weights, with the constant carried by the row that sums to the whole.
    fn goal_row(&self, region: &Region) -> Option<(Vec<f64>, Option<BendRow>)> {
        let target = self.target()?;
        let Goal::Curved(curve) = &self.task.goal else {
            return None;
        };
        if let Some(bend) = relax::goal_bend(curve, self.task.sign, target) {
            let row = self
                .model
                .rows(self.task, region, &bend)
                .into_iter()
                .next()?;
            // Σ x = 1 carries the constant.
            let whole = &self.task.exact.rows[0].coefficients;
            let cost = row
                .row
                .coefficients
                .iter()
                .zip(whole)
                .map(|(c, one)| c - row.row.upper * one)
                .collect();
            return Some((cost, Some(row)));
        }
        Some((self.task.goal_threshold(curve, target)?, None))
    }
}
