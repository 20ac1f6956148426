//! Recipes at even distances along each unbroken piece of a chain.

use crate::parallel;
use crate::study::frontier::chain::Ask;
use crate::study::frontier::chain::Chain;
use crate::study::frontier::chain::Link;
use crate::study::frontier::chain::Loss;
use crate::study::frontier::chain::is_between;
use crate::study::frontier::scan::LEAST_JUMP;
use crate::study::frontier::trade::Found;
use crate::study::frontier::trade::Trade;

/// Part of a distance by which a recipe may miss its place.
pub const OFF: f64 = 0.02;

/// Most searches for one place.
const TRIES: usize = 12;

/// A try after which the middle is taken instead of what is foreseen.
const FORESEEN: usize = 6;

/// An unbroken piece, by its first and last link.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Piece {
    /// Its first link.
    pub first: usize,
    /// Its last link; the first itself where the piece is one recipe.
    pub last: usize,
}

/// The unbroken pieces of a chain.
#[must_use]
pub fn pieces(chain: &Chain) -> Vec<Piece> {
    let mut all = Vec::new();
    let mut first = 0;
    for at in 0..chain.links.len() - 1 {
        if chain.is_empty(at) && chain.length(at) > LEAST_JUMP {
            all.push(Piece { first, last: at });
            first = at + 1;
        }
    }
    all.push(Piece {
        first,
        last: chain.links.len() - 1,
    });
    all
}

/// Half the sum of both ways from one loss to another.
#[must_use]
pub fn apart(from: Loss, to: Loss) -> f64 {
    0.5 * ((to.0[0] - from.0[0]) + (from.0[1] - to.0[1]))
}

/// Into how many even distances each piece is divided, for so many recipes in all: as its length asks,
/// at least one where it has a length.
#[must_use]
#[expect(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a few hundred recipes at most"
)]
pub fn shared(lengths: &[f64], points: usize) -> Vec<usize> {
    let whole: f64 = lengths.iter().sum();
    let spare = points.saturating_sub(lengths.len()) as f64;
    let wanted: Vec<f64> = lengths.iter().map(|l| spare * l / whole).collect();
    let least = |k: usize| usize::from(lengths[k] > 0.0);
    let mut counts: Vec<usize> = (0..lengths.len())
        .map(|k| (wanted[k].floor() as usize).max(least(k)))
        .collect();
    while counts.iter().sum::<usize>() < spare as usize {
        let lacks = |k: &usize| wanted[*k] - counts[*k] as f64;
        let Some(most) =
            (0..counts.len()).max_by(|a, b| lacks(a).total_cmp(&lacks(b)).then(b.cmp(a)))
        else {
            break;
        };
        counts[most] += 1;
    }
    counts
}

/// The recipes to show of a piece: its ends and those between, divided into so many distances.
#[must_use]
pub fn placed(trade: &Trade, chain: &Chain, piece: Piece, count: usize) -> Vec<Found> {
    let links = &chain.links[piece.first..=piece.last];
    let (first, last) = (&links[0], &links[links.len() - 1]);
    let whole = apart(first.loss, last.loss);
    let between: Vec<usize> = (1..count).collect();
    let found = parallel::each(&between, |k| {
        at(
            trade,
            chain,
            links,
            whole * part(*k, count),
            whole * part(1, count),
        )
    });
    let mut all = vec![first.found.clone()];
    for next in found.into_iter().flatten() {
        let loss = chain.scale.loss(next.at);
        let behind = all.last().map_or(first.loss, |f| chain.scale.loss(f.at));
        let again = chain.scale.alike(behind, loss) || chain.scale.alike(loss, last.loss);
        // What noise has put beside the curve would be bettered by a neighbour.
        if !again && is_between(behind, loss, last.loss) {
            all.push(next);
        }
    }
    if links.len() > 1 {
        all.push(last.found.clone());
    }
    all
}

#[expect(clippy::cast_precision_loss, reason = "a few hundred recipes at most")]
fn part(of: usize, count: usize) -> f64 {
    of as f64 / count as f64
}

/// The recipe at a distance from the first link.
fn at(trade: &Trade, chain: &Chain, links: &[Link], goal: f64, step: f64) -> Option<Found> {
    let origin = links[0].loss;
    let along = |loss: Loss| apart(origin, loss);
    let behind = links.iter().position(|l| along(l.loss) >= goal)?.max(1);
    let (mut low, mut high) = (links[behind - 1].loss, links[behind].loss);
    let near = |l: &&Link| (along(l.loss) - goal).abs();
    let mut best = links
        .iter()
        .min_by(|a, b| near(a).total_cmp(&near(b)))
        .map(|l| (l.found.clone(), l.loss))?;
    for tried in 0..TRIES {
        if (along(best.1) - goal).abs() <= OFF * step {
            break;
        }
        let found = nearer(
            trade,
            chain,
            low,
            high,
            if tried < FORESEEN {
                (goal - along(low)) / apart(low, high)
            } else {
                0.5
            },
        );
        let Some((found, loss)) = found else { break };
        if (along(loss) - goal).abs() < (along(best.1) - goal).abs() {
            best = (found, loss);
        }
        if chain.scale.alike(loss, low) || chain.scale.alike(loss, high) {
            break;
        }
        if along(loss) < goal {
            low = loss;
        } else {
            high = loss;
        }
    }
    Some(best.0)
}

/// The recipe at a part of the way between two, by whichever property moves more there.
fn nearer(trade: &Trade, chain: &Chain, low: Loss, high: Loss, part: f64) -> Option<(Found, Loss)> {
    let bounded = usize::from((low.0[1] - high.0[1]) > (high.0[0] - low.0[0]));
    let ask = Ask {
        bounded,
        loss: low.0[bounded] + part * (high.0[bounded] - low.0[bounded]),
    };
    let found = trade.within(ask.bounded, chain.scale.value(ask.bounded, ask.loss))?;
    let loss = chain.scale.loss(found.at);
    Some((found, loss))
}
