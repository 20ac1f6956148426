//! The cells of a map: their edges, the borders between regions, and where a region's name fits.

use crate::report::picture::data::MapPicture;
use crate::report::picture::scale;

/// What a cell belongs to: a region, or none where there is no recipe.
pub type Owner = Option<usize>;

/// A rectangle of cells: columns and rows from the first to before the last.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Block {
    /// The first and the column after the last.
    pub columns: (usize, usize),
    /// The first and the row after the last, from the bottom.
    pub rows: (usize, usize),
}

/// A connected piece of a region.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Patch {
    /// What its cells belong to.
    pub owner: Owner,
    /// Its cells, ascending.
    cells: Vec<usize>,
}

impl Patch {
    fn has(&self, cell: usize) -> bool {
        self.cells.binary_search(&cell).is_ok()
    }
}

/// A border between two regions, along the edges of cells: from one corner of the grid to another,
/// each a column's left and a row's lower edge.
pub type Border = [(usize, usize); 2];

/// The owners of a map's cells.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Grid {
    /// How many columns.
    pub columns: usize,
    /// How many rows.
    pub rows: usize,
    owners: Vec<Owner>,
}

impl Grid {
    /// The grid of a map; a cell that is missing has no recipe.
    #[must_use]
    pub fn of(picture: &MapPicture) -> Self {
        let (columns, rows) = (picture.along_x.len(), picture.along_y.len());
        let owners = (0..columns * rows)
            .map(|i| {
                let cell = picture.cells.get(i)?;
                cell.goal
                    .filter(|g| g.is_finite())
                    .map(|_| cell.region)
                    .filter(|r| *r < picture.regions.len())
            })
            .collect();
        Grid {
            columns,
            rows,
            owners,
        }
    }

    /// What a cell belongs to.
    #[must_use]
    pub fn owner(&self, column: usize, row: usize) -> Owner {
        self.owners[row * self.columns + column]
    }

    /// The connected pieces of regions, in the order of their first cells: row after row from the bottom.
    #[must_use]
    pub fn patches(&self) -> Vec<Patch> {
        let mut taken = vec![false; self.owners.len()];
        let mut patches = Vec::new();
        for start in 0..self.owners.len() {
            if taken[start] {
                continue;
            }
            let owner = self.owners[start];
            taken[start] = true;
            let (mut cells, mut next) = (vec![start], 0);
            while let Some(&cell) = cells.get(next) {
                next += 1;
                for beside in self.beside(cell) {
                    if !taken[beside] && self.owners[beside] == owner {
                        taken[beside] = true;
                        cells.push(beside);
                    }
                }
            }
            cells.sort_unstable();
            patches.push(Patch { owner, cells });
        }
        patches
    }

    /// The cells that share an edge with a cell.
    fn beside(&self, cell: usize) -> impl Iterator<Item = usize> {
        let (column, columns, all) = (cell % self.columns, self.columns, self.owners.len());
        [
            (column > 0).then(|| cell - 1),
            (column + 1 < columns).then_some(cell + 1),
            cell.checked_sub(columns),
            (cell + columns < all).then_some(cell + columns),
        ]
        .into_iter()
        .flatten()
    }

    /// Every owner that has a cell: the regions in their order, then no recipe.
    #[must_use]
    pub fn present(&self) -> Vec<Owner> {
        let mut present: Vec<Owner> = self.owners.clone();
        present.sort_by_key(|o| o.unwrap_or(usize::MAX));
        present.dedup();
        present
    }

    /// The borders between regions, each as long as it is straight.
    #[must_use]
    pub fn borders(&self) -> Vec<Border> {
        let mut borders = Vec::new();
        for row in 1..self.rows {
            let differ = |c: usize| self.owner(c, row - 1) != self.owner(c, row);
            let runs = runs(self.columns, differ);
            borders.extend(runs.into_iter().map(|(a, b)| [(a, row), (b, row)]));
        }
        for column in 1..self.columns {
            let differ = |r: usize| self.owner(column - 1, r) != self.owner(column, r);
            let runs = runs(self.rows, differ);
            borders.extend(runs.into_iter().map(|(a, b)| [(column, a), (column, b)]));
        }
        borders
    }

    /// The rectangles of one patch, of any shape that cannot grow upwards or sideways: a name is
    /// written in one of them.
    #[must_use]
    pub fn blocks(&self, patch: &Patch) -> Vec<Block> {
        let mut blocks = Vec::new();
        let (Some(first), Some(last)) = (patch.cells.first(), patch.cells.last()) else {
            return blocks;
        };
        let top = last / self.columns;
        for low in first / self.columns..=top {
            let mut open = vec![true; self.columns];
            for high in low..=top {
                for (column, open) in open.iter_mut().enumerate() {
                    *open &= patch.has(high * self.columns + column);
                }
                let runs = runs(self.columns, |c| open[c]);
                if runs.is_empty() {
                    break;
                }
                blocks.extend(runs.into_iter().map(|columns| Block {
                    columns,
                    rows: (low, high + 1),
                }));
            }
        }
        blocks
    }
}

/// The edges of cells around their positions: half way to the next, one more than positions.
#[must_use]
pub fn edges(along: &crate::report::picture::data::Along) -> Vec<f64> {
    let at = scale::positions(along);
    let (Some(first), Some(last)) = (at.first(), at.last()) else {
        return vec![0.0, 1.0];
    };
    if at.len() == 1 {
        let (from, to) = scale::exact([*first]);
        return vec![from, to];
    }
    let between = at.windows(2).map(|w| f64::midpoint(w[0], w[1]));
    let inner: Vec<f64> = between.collect();
    let mut edges = vec![2.0 * first - inner[0]];
    edges.extend(&inner);
    edges.push(2.0 * last - inner[inner.len() - 1]);
    edges
}

/// Runs of indices for which something holds: the first and the one after the last.
fn runs(count: usize, holds: impl Fn(usize) -> bool) -> Vec<(usize, usize)> {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for i in (0..count).filter(|i| holds(*i)) {
        match runs.last_mut() {
            Some(run) if run.1 == i => run.1 = i + 1,
            _ => runs.push((i, i + 1)),
        }
    }
    runs
}
