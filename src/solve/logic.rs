//! Recipe logic: which components may be used together, how many, and how little of one.
//!
//! A component is *used* when its treat rate is at least its `if-used` minimum, or
//! [`SMALLEST_USE`] where it has none; unused it is not in the oil at all. The tree decides use by
//! branching; here a region's decisions are carried to what follows from them, and a relaxation gets
//! rows that every recipe with that logic meets.

use crate::declare::problem::Problem;
use crate::declare::problem::Rule;
use crate::predict::logic::USED_PERCENT;
use crate::quantity::Share;
use crate::solve::program::Row;

/// The least treat rate that counts as use, as a mass fraction: 0.001 %, ten milligrams in a kilogram,
/// about what a bench balance can pour.
pub const SMALLEST_USE: f64 = USED_PERCENT / 100.0;

/// A mass fraction below this is rounding, not use.
const NOTHING: f64 = 1e-9;

/// A treat rate within this part of a step of a grid point is on it.
const ON_GRID: f64 = 1e-6;

/// Whether a region uses a component.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Use {
    /// Not decided.
    Free,
    /// Used.
    On,
    /// Left out.
    Off,
}

/// What is asked of a recipe beyond the problem.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Demand {
    /// Every treat rate is a multiple of this.
    pub grid: Option<Share>,
    /// Sets of components (indices of the problem) that must not all be used.
    pub avoid: Vec<Vec<usize>>,
}

/// The rules of a problem over the columns of a task.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Logic {
    /// Least mass fraction of each column when it is used.
    pub least: Vec<f64>,
    /// Whether an `if-used` minimum above the smallest use exists for a column.
    pub stepped: Vec<bool>,
    /// Most columns used.
    pub at_most: Option<usize>,
    /// Sets of which at most so many are used.
    pub limited: Vec<(Vec<usize>, usize)>,
    /// Sets of which at least one is used.
    pub some: Vec<Vec<usize>>,
    /// The first is used only with the second (`None`: with something that cannot be used).
    pub needs: Vec<(usize, Option<usize>)>,
    /// The balance's step, as a mass fraction: every treat rate is a multiple of it.
    pub grid: Option<f64>,
}

/// The least mass fraction of a component that counts as use: its `if-used` minimum, its band's own
/// minimum, or the smallest use; where the band ends below that, the band's end.
fn least(problem: &Problem, component: usize, if_used: f64) -> f64 {
    let band = &problem.bands[component];
    let (min, max) = (band.min.share.fraction(), band.max.share.fraction());
    let own = if min > 0.0 {
        min
    } else {
        SMALLEST_USE.min(max)
    };
    if_used.max(own)
}

impl Logic {
    /// The logic of a problem over the columns of its task.
    #[must_use]
    pub fn new(problem: &Problem, columns: &[usize], demand: &Demand) -> Self {
        let column = |component: &usize| columns.iter().position(|c| c == component);
        let set = |all: &[usize]| -> Vec<usize> { all.iter().filter_map(column).collect() };
        let if_used = |j: &usize| {
            problem.bands[*j]
                .if_used
                .as_ref()
                .map_or(0.0, |edge| edge.share.fraction())
        };
        let mut logic = Logic {
            least: columns
                .iter()
                .map(|j| least(problem, *j, if_used(j)))
                .collect(),
            stepped: columns.iter().map(|j| if_used(j) > SMALLEST_USE).collect(),
            ..Logic::default()
        };
        for avoided in &demand.avoid {
            let most = avoided.len().saturating_sub(1);
            logic.limited.push((set(avoided), most));
        }
        logic.grid = demand.grid.map(Share::fraction);
        for rule in &problem.rules {
            match rule {
                Rule::AtMost(most, _) => {
                    logic.at_most = Some(logic.at_most.map_or(*most, |m| m.min(*most)));
                }
                Rule::NotTogether(all, _) => logic.limited.push((set(all), 1)),
                Rule::OneOf(all, _) => {
                    logic.limited.push((set(all), 1));
                    logic.some.push(set(all));
                }
                Rule::Needs(a, b, _) => {
                    if let Some(a) = column(a) {
                        logic.needs.push((a, column(b)));
                    }
                }
            }
        }
        logic
    }

    /// Whether there is anything to decide.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.at_most.is_none()
            && self.limited.is_empty()
            && self.some.is_empty()
            && self.needs.is_empty()
            && !self.stepped.contains(&true)
    }

    /// The sets with a largest number of used members, `at_most` among them.
    fn limited(&self) -> impl Iterator<Item = (Vec<usize>, usize)> {
        let all = self
            .at_most
            .map(|most| ((0..self.least.len()).collect(), most));
        self.limited.clone().into_iter().chain(all)
    }

    /// Carries decisions to what follows from them, and to the bounds of the mass fractions; false
    /// where they contradict one another.
    #[must_use]
    pub fn carry(&self, uses: &mut [Use], lower: &mut [f64], upper: &mut [f64]) -> bool {
        if self.is_empty() && self.grid.is_none() {
            return true;
        }
        loop {
            let before = uses.to_vec();
            self.to_grid(lower, upper);
            for j in 0..uses.len() {
                if lower[j] > NOTHING && uses[j] == Use::Free {
                    uses[j] = Use::On;
                } else if upper[j] < self.least[j] && uses[j] == Use::Free {
                    uses[j] = Use::Off;
                }
            }
            if !self.follow(uses) {
                return false;
            }
            for j in 0..uses.len() {
                match uses[j] {
                    Use::On => lower[j] = lower[j].max(self.least[j]),
                    Use::Off => upper[j] = upper[j].min(0.0),
                    Use::Free => {}
                }
                if lower[j] > upper[j] {
                    return false;
                }
            }
            if before == uses {
                return true;
            }
        }
    }

    /// Moves bounds inward to the grid.
    fn to_grid(&self, lower: &mut [f64], upper: &mut [f64]) {
        let Some(step) = self.grid else { return };
        for (lo, hi) in lower
            .iter_mut()
            .zip(upper.iter_mut())
            .take(self.least.len())
        {
            *lo = (*lo / step - ON_GRID).ceil() * step;
            *hi = (*hi / step + ON_GRID).floor() * step;
        }
    }

    /// The first treat rate farthest off the grid, with the grid points below and above it.
    #[must_use]
    pub fn off_grid(&self, x: &[f64]) -> Option<(usize, f64, f64)> {
        let step = self.grid?;
        let off = |x: f64| (x / step - (x / step).round()).abs();
        let (j, worst) = x[..self.least.len()]
            .iter()
            .enumerate()
            .max_by(|(i, a), (k, b)| off(**a).total_cmp(&off(**b)).then(k.cmp(i)))?;
        (off(*worst) > ON_GRID).then(|| {
            (
                j,
                (worst / step).floor() * step,
                (worst / step).ceil() * step,
            )
        })
    }

    /// A point with the treat rates that are on the grid but for rounding put exactly there.
    #[must_use]
    pub fn on_grid(&self, x: &[f64]) -> Vec<f64> {
        let Some(step) = self.grid else {
            return x.to_vec();
        };
        let snap = |(j, x): (usize, &f64)| {
            let near = (x / step).round() * step;
            if j < self.least.len() && (x - near).abs() <= ON_GRID * step {
                near
            } else {
                *x
            }
        };
        x.iter().enumerate().map(snap).collect()
    }

    /// The undecided treat rate nearest to a grid point, and that point.
    #[must_use]
    pub fn surest(&self, lower: &[f64], upper: &[f64], x: &[f64]) -> Option<(usize, f64)> {
        let step = self.grid?;
        let near = |j: usize| (x[j] / step).round() * step;
        (0..self.least.len())
            .filter(|&j| upper[j] - lower[j] > ON_GRID * step)
            .min_by(|&a, &b| {
                let (da, db) = ((x[a] - near(a)).abs(), (x[b] - near(b)).abs());
                da.total_cmp(&db).then(a.cmp(&b))
            })
            .map(|j| (j, near(j).clamp(lower[j], upper[j])))
    }

    /// One pass over the rules; false on a contradiction.
    fn follow(&self, uses: &mut [Use]) -> bool {
        for (set, most) in self.limited() {
            let on = set.iter().filter(|&&j| uses[j] == Use::On).count();
            if on > most {
                return false;
            }
            if on == most {
                for &j in &set {
                    if uses[j] == Use::Free {
                        uses[j] = Use::Off;
                    }
                }
            }
        }
        for set in &self.some {
            if set.iter().any(|&j| uses[j] == Use::On) {
                continue;
            }
            let mut free = set.iter().filter(|&&j| uses[j] == Use::Free);
            match (free.next(), free.next()) {
                (None, _) => return false,
                (Some(&only), None) => uses[only] = Use::On,
                _ => {}
            }
        }
        for &(a, b) in &self.needs {
            let with = b.map_or(Use::Off, |b| uses[b]);
            match (uses[a], with) {
                (Use::On, Use::Off) => return false,
                (Use::On, Use::Free) => {
                    if let Some(b) = b {
                        uses[b] = Use::On;
                    }
                }
                (Use::Free, Use::Off) => uses[a] = Use::Off,
                _ => {}
            }
        }
        true
    }

    /// Rows that every recipe of this logic meets within the bounds: `x ≤ upper · used`, so the sum
    /// of `x / upper` over a set is at most the number of its members that may be used.
    #[must_use]
    pub fn rows(&self, uses: &[Use], upper: &[f64], width: usize) -> Vec<Row> {
        let mut rows = Vec::new();
        for (set, most) in self.limited() {
            let on = set.iter().filter(|&&j| uses[j] == Use::On).count();
            let free: Vec<usize> = set
                .iter()
                .copied()
                .filter(|&j| uses[j] == Use::Free && upper[j] > 0.0)
                .collect();
            if most < on || free.len() + on <= most {
                continue;
            }
            let mut coefficients = vec![0.0; width];
            for &j in &free {
                coefficients[j] = upper[j].recip();
            }
            #[expect(clippy::cast_precision_loss, reason = "a count of components")]
            let room = (most - on) as f64;
            rows.push(Row {
                coefficients,
                lower: f64::NEG_INFINITY,
                upper: room * (1.0 + 1e-12),
            });
        }
        rows
    }

    /// The use of each column at a point: `Free` where the treat rate is neither nothing nor enough.
    fn at(&self, x: &[f64]) -> Vec<Use> {
        x.iter()
            .zip(&self.least)
            .map(|(x, least)| {
                if *x <= NOTHING {
                    Use::Off
                } else if *x >= least - NOTHING {
                    Use::On
                } else {
                    Use::Free
                }
            })
            .collect()
    }

    /// Whether a point keeps every rule, and the grid where there is one.
    #[must_use]
    pub fn keeps(&self, x: &[f64]) -> bool {
        let undecided = vec![Use::Free; self.least.len()];
        self.off_grid(x).is_none() && (self.is_empty() || self.broken(&undecided, x).is_none())
    }

    /// An undecided column at which to branch because a point breaks a rule; `None` where every rule
    /// is kept (or only decided columns are left).
    #[must_use]
    pub fn broken(&self, uses: &[Use], x: &[f64]) -> Option<usize> {
        if self.is_empty() {
            return None;
        }
        let at = self.at(&x[..self.least.len()]);
        let undecided = |j: &usize| uses[*j] == Use::Free;
        let smallest = |set: &[usize]| {
            set.iter()
                .copied()
                .filter(undecided)
                .min_by(|a, b| x[*a].total_cmp(&x[*b]).then(a.cmp(b)))
        };
        let largest = |set: &[usize]| {
            set.iter()
                .copied()
                .filter(undecided)
                .max_by(|a, b| x[*a].total_cmp(&x[*b]).then(b.cmp(a)))
        };
        let between: Vec<usize> = (0..at.len())
            .filter(|&j| at[j] == Use::Free && self.stepped[j])
            .collect();
        if let Some(j) = largest(&between) {
            return Some(j);
        }
        for (set, most) in self.limited() {
            let used: Vec<usize> = set.into_iter().filter(|&j| at[j] != Use::Off).collect();
            if used.len() > most
                && let Some(j) = smallest(&used)
            {
                return Some(j);
            }
        }
        for set in &self.some {
            if set.iter().all(|&j| at[j] != Use::On)
                && let Some(j) = largest(set)
            {
                return Some(j);
            }
        }
        for &(a, b) in &self.needs {
            let lacking = b.is_none_or(|b| at[b] != Use::On);
            if at[a] != Use::Off && lacking {
                let pair: Vec<usize> = b.into_iter().chain([a]).collect();
                if let Some(j) = pair.into_iter().find(|j| undecided(j)) {
                    return Some(j);
                }
            }
        }
        let tiny: Vec<usize> = (0..at.len()).filter(|&j| at[j] == Use::Free).collect();
        largest(&tiny)
    }

    /// Uses that keep the rules, near a point: the largest treat rates stay.
    #[must_use]
    pub fn near(&self, uses: &[Use], x: &[f64]) -> Vec<Use> {
        let mut order: Vec<usize> = (0..self.least.len())
            .filter(|&j| uses[j] == Use::Free)
            .collect();
        order.sort_by(|a, b| x[*b].total_cmp(&x[*a]).then(a.cmp(b)));
        let mut near = uses.to_vec();
        for j in order {
            if near[j] != Use::Free {
                continue;
            }
            let wanted = if x[j] > NOTHING { Use::On } else { Use::Off };
            let mut tried = near.clone();
            tried[j] = wanted;
            if self.settled(&mut tried) {
                near = tried;
            } else {
                near[j] = if wanted == Use::On { Use::Off } else { Use::On };
                if !self.settled(&mut near) {
                    return near;
                }
            }
        }
        near
    }

    /// Follows the rules to their end; false on a contradiction.
    fn settled(&self, uses: &mut [Use]) -> bool {
        loop {
            let before = uses.to_vec();
            if !self.follow(uses) {
                return false;
            }
            if before == uses {
                return true;
            }
        }
    }
}
