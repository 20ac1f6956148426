//! What laboratories would report of a recipe, drawn many times over from all causes at once.
//!
//! Draws come from Sobol's sequence with Owen's scrambling (B. Burley, *Practical Hash-based Owen
//! Scrambling*, 2020), in blocks that are scrambled independently: the blocks' disagreement is the
//! error of their mean. A block depends on its number alone, so the draws are the same whoever makes
//! them and in whatever order.

use std::sync::OnceLock;

use crate::declare::property::Property;
use crate::parallel;
use crate::predict::cause::Causes;
use crate::predict::cause::Law;
use crate::predict::factor;
use crate::predict::factor::Factor;
use crate::predict::judge;
use crate::predict::spread;
use crate::predict::total::WIDTH;
use crate::standard::normal;

/// Draws of one block: a power of two, at which the sequence is balanced.
pub const BLOCK: usize = 4096;

/// Dimensions that the sequence makes at once, and sets of them before it begins anew.
const AT_ONCE: usize = 4;
const SETS: u32 = sobol_burley::NUM_DIMENSION_SETS_4D;

/// Sets and blocks whose normal numbers are kept: 64 dimensions of 65 536 draws, 34 MB once all are used.
const KEPT_SETS: usize = 16;
const KEPT_BLOCKS: usize = 16;

/// Half the sequence's last digit: its numbers lie in the middle of their cells, never at 0.
const HALF_CELL: f64 = 1.0 / (1 << 24) as f64;

/// Seeds of blocks stay below this, so that dimensions beyond the last have seeds of their own.
const MOST_BLOCKS: u32 = 1 << 20;

/// The reported values of one block.
#[derive(Debug, Clone)]
pub struct Block {
    /// `values[k]`: what was reported of tested property k, draw by draw; not a number where the
    /// property is undefined.
    pub values: Vec<Vec<f64>>,
}

/// How causes become draws.
struct Plan<'a> {
    causes: &'a Causes,
    factor: Factor,
    /// Causes of several properties' values.
    shared: Vec<(Law, Vec<f64>)>,
    /// What is left to each property alone, one standard deviation.
    own: Vec<f64>,
}

/// Makes blocks of draws until there are at least so many, and works on each; the results are in the
/// blocks' order.
pub fn each_block<T: Send>(
    causes: &Causes,
    draws: usize,
    work: impl Fn(Block) -> T + Sync + Send,
) -> Vec<T> {
    let plan = Plan::new(causes);
    parallel::numbered(blocks(draws), |number| work(plan.block(number)))
}

/// In how many blocks so many draws are made: two at least, which can disagree.
fn blocks(draws: usize) -> u32 {
    let blocks = u32::try_from(draws.div_ceil(BLOCK)).unwrap_or(MOST_BLOCKS);
    blocks.clamp(2, MOST_BLOCKS)
}

/// How many draws are made where so many are asked for.
#[must_use]
pub fn made(draws: usize) -> usize {
    blocks(draws) as usize * BLOCK
}

impl<'a> Plan<'a> {
    fn new(causes: &'a Causes) -> Self {
        let on_totals: Vec<&[f64]> = causes
            .causes
            .iter()
            .filter(|c| !c.on_totals.is_empty())
            .map(|c| c.on_totals.as_slice())
            .collect();
        let mut own = vec![0.0_f64; causes.tested.len()];
        let mut shared = Vec::new();
        for cause in causes.causes.iter().filter(|c| !c.on_values.is_empty()) {
            let moves = |k: &usize| cause.on_values[*k] != 0.0;
            let moved: Vec<usize> = (0..own.len()).filter(moves).collect();
            match (moved.as_slice(), cause.law) {
                ([only], Law::Normal) => own[*only] = own[*only].hypot(cause.on_values[*only]),
                _ => shared.push((cause.law, cause.on_values.clone())),
            }
        }
        Plan {
            factor: factor::factor(&on_totals, causes.totals.len()),
            causes,
            shared,
            own,
        }
    }

    fn block(&self, number: u32) -> Block {
        let mut values: Vec<Vec<f64>> = vec![vec![0.0; BLOCK]; self.own.len()];
        let mut dimension = Dimensions::of(number);
        for (law, moves) in &self.shared {
            let drawn = dimension.next(*law);
            for (column, moved) in values.iter_mut().zip(moves) {
                add(column, *moved, drawn);
            }
        }
        for (column, sd) in values.iter_mut().zip(&self.own) {
            if *sd > 0.0 {
                add(column, *sd, dimension.next(Law::Normal));
            }
        }
        let mut totals: Vec<Vec<f64>> =
            self.causes.totals.iter().map(|z| vec![*z; BLOCK]).collect();
        for k in 0..self.factor.rank {
            let drawn = dimension.next(Law::Normal);
            for (column, row) in totals.iter_mut().zip(&self.factor.rows) {
                add(column, row[k], drawn);
            }
        }
        for (tested, column) in self.causes.tested.iter().zip(&mut values) {
            let entry = &tested.entry;
            let ratio = matches!(entry.property, Property::Ratio(..));
            let width = entry.totals.len();
            let mut z = [0.0; WIDTH];
            for (draw, value) in column.iter_mut().enumerate() {
                for (slot, &t) in z.iter_mut().zip(&entry.totals) {
                    *slot = totals[t][draw];
                }
                let divides = !ratio || z[1] >= judge::NO_ELEMENT_PPM;
                let predicted = divides.then(|| entry.formula.value(&z[..width])).flatten();
                *value = predicted.map_or(f64::NAN, |p| p + *value);
            }
        }
        Block { values }
    }
}

/// Adds a multiple of drawn numbers to a column.
fn add(column: &mut [f64], factor: f64, drawn: &[f64]) {
    if factor == 0.0 {
        return;
    }
    for (value, number) in column.iter_mut().zip(drawn) {
        *value += factor * number;
    }
}

/// The numbers of some dimensions of one block, draw by draw.
type Set = [Vec<f64>; AT_ONCE];

/// Normal numbers that are kept, by block and set, for whoever draws one recipe after another.
static KEPT: [[OnceLock<Set>; KEPT_SETS]; KEPT_BLOCKS] =
    [const { [const { OnceLock::new() }; KEPT_SETS] }; KEPT_BLOCKS];

/// The dimensions of one block's sequence, one after another.
struct Dimensions {
    block: u32,
    /// The number of the next dimension.
    next: usize,
    /// The set that it is of, where that is not kept.
    made: Option<(usize, Set)>,
    /// Numbers under another law.
    drawn: Vec<f64>,
}

impl Dimensions {
    fn of(block: u32) -> Self {
        Dimensions {
            block,
            next: 0,
            made: None,
            drawn: Vec::new(),
        }
    }

    /// The next dimension's numbers under a law.
    fn next(&mut self, law: Law) -> &[f64] {
        let (set, row) = (self.next / AT_ONCE, self.next % AT_ONCE);
        self.next += 1;
        match law {
            Law::Normal => &self.normal(set)[row],
            Law::Uniform => {
                self.drawn = uniform(self.block, set)[row]
                    .iter()
                    .map(|u| (2.0 * u - 1.0) * spread::UNIFORM)
                    .collect();
                &self.drawn
            }
        }
    }

    fn normal(&mut self, set: usize) -> &Set {
        let kept = KEPT.get(self.block as usize);
        if let Some(kept) = kept.and_then(|sets| sets.get(set)) {
            return kept.get_or_init(|| normal(self.block, set));
        }
        if self.made.as_ref().is_none_or(|(of, _)| *of != set) {
            self.made = None;
        }
        let (_, made) = self
            .made
            .get_or_insert_with(|| (set, normal(self.block, set)));
        made
    }
}

/// A set's numbers between 0 and 1.
fn uniform(block: u32, set: usize) -> Set {
    let set = u32::try_from(set).unwrap_or(u32::MAX);
    let seed = block + set / SETS * MOST_BLOCKS;
    let mut rows: Set = std::array::from_fn(|_| Vec::with_capacity(BLOCK));
    for index in (0..).take(BLOCK) {
        let numbers = sobol_burley::sample_4d(index, set % SETS, seed);
        for (row, number) in rows.iter_mut().zip(numbers) {
            row.push(f64::from(number) + HALF_CELL);
        }
    }
    rows
}

/// The same as normal numbers.
fn normal(block: u32, set: usize) -> Set {
    let mut rows = uniform(block, set);
    for number in rows.iter_mut().flatten() {
        *number = normal::quantile(*number);
    }
    rows
}
