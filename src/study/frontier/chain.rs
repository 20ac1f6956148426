//! The recipes found so far, from the one end to the other, and between which of them no other lies.

use crate::study::frontier::aim::Aim;
use crate::study::frontier::trade::Found;
use crate::study::frontier::trade::ROOM;

/// Part of the way between the ends, in either property, to which an edge of a jump is found.
const EDGE: f64 = 1e-6;

/// Values may be off by this many times the room that a bound is given.
const NOISE: f64 = 4.0;

/// How far a recipe is from the best of each property, in parts of the way between the ends: 0 is the
/// best, 1 the value at the other end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Loss(pub [f64; 2]);

/// The two ends, from which losses are counted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// The best value of each property.
    pub best: [f64; 2],
    /// Its value where the other is the best.
    pub worst: [f64; 2],
    /// Losses nearer to each other than this are one, property by property.
    pub same: [f64; 2],
}

impl Scale {
    /// From the recipe that is best in the first and the one that is best in the second; `None` where
    /// there is nothing to trade: one recipe is the best in both.
    #[must_use]
    pub fn between(first: &Found, second: &Found) -> Option<Scale> {
        let best = [first.at[0], second.at[1]];
        let worst = [second.at[0], first.at[1]];
        let mut same = [0.0; 2];
        for k in 0..2 {
            let way = (worst[k] - best[k]).abs();
            let noise = NOISE * ROOM * best[k].abs().max(worst[k].abs());
            if way <= noise.max(f64::MIN_POSITIVE) {
                return None;
            }
            same[k] = (noise / way).max(EDGE);
        }
        Some(Scale { best, worst, same })
    }

    /// The losses of two values.
    #[must_use]
    pub fn loss(&self, at: [f64; 2]) -> Loss {
        let of = |k: usize| (at[k] - self.best[k]) / (self.worst[k] - self.best[k]);
        Loss([of(0), of(1)])
    }

    /// The value of a loss.
    #[must_use]
    pub fn value(&self, property: usize, loss: f64) -> f64 {
        self.best[property] + loss * (self.worst[property] - self.best[property])
    }

    /// Whether two recipes are told apart by neither property.
    #[must_use]
    pub fn alike(&self, a: Loss, b: Loss) -> bool {
        (0..2).all(|k| (a.0[k] - b.0[k]).abs() <= self.same[k])
    }

    /// An exchange rate, the second property's change per unit of the first, as the loss of the second
    /// saved per loss of the first.
    #[must_use]
    pub fn steepness(&self, aims: &[Aim; 2], rate: f64) -> f64 {
        let way = |k: usize| aims[k].sign() * (self.worst[k] - self.best[k]);
        -rate * aims[0].sign() * aims[1].sign() * way(0) / way(1)
    }
}

/// One recipe of the chain.
#[derive(Debug, Clone)]
pub struct Link {
    /// The recipe.
    pub found: Found,
    /// Its losses.
    pub loss: Loss,
    /// For each property: the largest bound, as a loss, for which it is known to be the answer.
    pub until: [f64; 2],
}

/// A question: the other property at its best, this one's loss at most this.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ask {
    /// The property that is bounded.
    pub bounded: usize,
    /// Its largest loss.
    pub loss: f64,
}

/// The recipes found, the best of the first property first.
#[derive(Debug, Clone)]
pub struct Chain {
    /// The ends.
    pub scale: Scale,
    /// The recipes.
    pub links: Vec<Link>,
    /// Whether every answer so far was proved.
    pub sure: bool,
    /// Stretches that are not looked into any more, by the first loss before and behind.
    settled: Vec<[f64; 2]>,
}

impl Chain {
    /// Only the ends.
    #[must_use]
    pub fn new(scale: Scale, first: Found, last: Found) -> Self {
        let link = |found: Found| {
            let loss = scale.loss(found.at);
            Link {
                until: loss.0,
                found,
                loss,
            }
        };
        Chain {
            sure: first.is_proved() && last.is_proved(),
            links: vec![link(first), link(last)],
            settled: Vec::new(),
            scale,
        }
    }

    /// Half the sum of both ways between a link and the next: along a curve that never turns back, these
    /// add up.
    #[must_use]
    pub fn length(&self, at: usize) -> f64 {
        let (a, b) = (self.links[at].loss.0, self.links[at + 1].loss.0);
        0.5 * ((b[0] - a[0]) + (a[1] - b[1]))
    }

    /// What is not yet known to be empty between a link and the next, property by property.
    fn hidden(&self, at: usize) -> [f64; 2] {
        let (a, b) = (&self.links[at], &self.links[at + 1]);
        [b.loss.0[0] - a.until[0], a.loss.0[1] - b.until[1]]
    }

    /// Whether no recipe lies between a link and the next, as far as edges are found.
    #[must_use]
    pub fn is_empty(&self, at: usize) -> bool {
        let hidden = self.hidden(at);
        (0..2).all(|k| hidden[k] <= self.scale.same[k])
    }

    /// Whether the stretch between a link and the next is not looked into any more.
    #[must_use]
    pub fn is_settled(&self, at: usize) -> bool {
        self.is_empty(at) || self.settled.contains(&self.between(at))
    }

    /// Looks no more into the stretch between a link and the next.
    pub fn settle(&mut self, at: usize) {
        if !self.is_settled(at) {
            self.settled.push(self.between(at));
        }
    }

    fn between(&self, at: usize) -> [f64; 2] {
        [self.links[at].loss.0[0], self.links[at + 1].loss.0[0]]
    }

    /// The question that halves what is hidden between a link and the next.
    #[must_use]
    pub fn halving(&self, at: usize) -> Ask {
        let hidden = self.hidden(at);
        let bounded = usize::from(hidden[1] > hidden[0]);
        // The first property's loss is hidden behind this link, the second's behind the next.
        let known = self.links[at + bounded].until[bounded];
        Ask {
            bounded,
            loss: known + 0.5 * hidden[bounded],
        }
    }

    /// Takes in an answer; `None` where there was none.
    pub fn take(&mut self, ask: Ask, found: Option<Found>) {
        let Some(at) = self.place(ask) else { return };
        self.sure &= found.as_ref().is_some_and(Found::is_proved);
        let Some(found) = found else {
            self.settle(at);
            return;
        };
        let (a, b) = (self.links[at].loss, self.links[at + 1].loss);
        let loss = self.scale.loss(found.at);
        // The bound leaves nothing better in the other property than the link that keeps it already.
        let known = at + ask.bounded;
        let other = 1 - ask.bounded;
        let no_better = loss.0[other] >= self.links[known].loss.0[other] - self.scale.same[other];
        if no_better {
            let until = &mut self.links[known].until[ask.bounded];
            *until = until.max(ask.loss);
        } else if is_between(a, loss, b) {
            let mut until = loss.0;
            until[ask.bounded] = until[ask.bounded].max(ask.loss);
            self.links.insert(at + 1, Link { found, loss, until });
        } else {
            // The recipe beyond, or one that two proofs leave open.
            self.settle(at);
        }
    }

    /// The link behind which a question falls.
    fn place(&self, ask: Ask) -> Option<usize> {
        let k = ask.bounded;
        let inside = |at: &usize| {
            let (a, b) = (self.links[*at].loss.0[k], self.links[at + 1].loss.0[k]);
            a.min(b) < ask.loss && ask.loss < a.max(b)
        };
        (0..self.links.len() - 1).find(inside)
    }
}

/// Whether a recipe loses more in the first and less in the second than one, and the other way round
/// than the other.
#[must_use]
pub fn is_between(a: Loss, x: Loss, b: Loss) -> bool {
    a.0[0] < x.0[0] && x.0[0] < b.0[0] && b.0[1] < x.0[1] && x.0[1] < a.0[1]
}
