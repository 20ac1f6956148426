//! Filling a chain until every stretch of it is either short and told by its exchange rates, or a jump.

use crate::parallel;
use crate::study::frontier::chain::Ask;
use crate::study::frontier::chain::Chain;
use crate::study::frontier::rate;
use crate::study::frontier::trade::Trade;

/// Stretches, in parts of the whole way, longer than this are always looked into.
const COARSE: f64 = 1.0 / 12.0;

/// Jumps shorter than this part of the whole way are not looked for.
pub const LEAST_JUMP: f64 = 0.005;

/// Most rounds: an edge takes about twenty halvings of each property.
const ROUNDS: usize = 64;

/// Part by which a chord may be steeper or flatter than both of its ends' rates.
const SLACK: f64 = 1e-3;

/// Fills a chain.
pub fn fill(trade: &Trade, chain: &mut Chain) {
    for _ in 0..ROUNDS {
        let places: Vec<usize> = (0..chain.links.len() - 1).collect();
        let open = parallel::each(&places, |at| is_open(trade, chain, *at));
        let (open, closed): (Vec<usize>, Vec<usize>) = places.into_iter().partition(|at| open[*at]);
        for at in closed {
            chain.settle(at);
        }
        let asks: Vec<Ask> = open.iter().map(|at| chain.halving(*at)).collect();
        if asks.is_empty() {
            return;
        }
        put(trade, chain, &asks);
    }
}

/// Asks, and takes in the answers in the order of the questions.
pub fn put(trade: &Trade, chain: &mut Chain, asks: &[Ask]) {
    let scale = chain.scale;
    let found = parallel::each(asks, |ask| {
        trade.within(ask.bounded, scale.value(ask.bounded, ask.loss))
    });
    for (ask, found) in asks.iter().zip(found) {
        chain.take(*ask, found);
    }
}

/// Whether more must be known between a link and the next.
fn is_open(trade: &Trade, chain: &Chain, at: usize) -> bool {
    let length = chain.length(at);
    if length <= LEAST_JUMP || chain.is_settled(at) {
        return false;
    }
    length > COARSE || !is_told(trade, chain, at)
}

/// Whether the chord lies between the exchange rates at its ends, as that of a curve without a jump and
/// without a turn does.
fn is_told(trade: &Trade, chain: &Chain, at: usize) -> bool {
    let (a, b) = (&chain.links[at], &chain.links[at + 1]);
    let behind = rate::rates(trade, &a.found, false, true).worse;
    let before = rate::rates(trade, &b.found, true, false).better;
    let Some((behind, before)) = behind.zip(before) else {
        return chain.length(at) <= 0.5 * COARSE;
    };
    let steep = |rate: f64| chain.scale.steepness(&trade.aims, rate);
    let (low, high) = (
        steep(behind).min(steep(before)),
        steep(behind).max(steep(before)),
    );
    let fall = a.loss.0[1] - b.loss.0[1];
    let way = b.loss.0[0] - a.loss.0[0];
    low * (1.0 - SLACK) * way <= fall && fall <= high * (1.0 + SLACK) * way
}
