//! Treat rates one on the other: which components get a band of their own, and where its edges lie.

use crate::report::picture::data::Band;
use crate::report::picture::palette;
use crate::report::picture::palette::Colour;
use crate::report::picture::palette::OTHERS;

/// With no more components than this each has a band of its own.
const FEW: usize = 9;

/// The most bands, those of the small ones taken together included: more cannot be told apart.
const MOST: usize = 15;

/// Below this at every position, mass %, a component is a small one: thinner than a line.
const SMALL: f64 = 0.5;

/// One band of a stack.
#[derive(Debug, Clone, PartialEq)]
pub struct Layer {
    /// Whose.
    pub name: String,
    /// Its colour.
    pub colour: Colour,
    /// Its treat rate at each position, mass %.
    pub rates: Vec<f64>,
}

/// The bands of these components, from the bottom; `shown` says which positions count.
#[must_use]
pub fn layers(components: &[Band], shown: &[bool]) -> Vec<Layer> {
    let mut used: Vec<(f64, Layer)> = Vec::new();
    for band in components {
        let rates: Vec<f64> = (0..shown.len()).map(|i| rate(band, i, shown)).collect();
        let most = rates.iter().copied().fold(0.0, f64::max);
        if most > 0.0 {
            let layer = Layer {
                name: band.name.clone(),
                colour: OTHERS,
                rates,
            };
            used.push((most, layer));
        }
    }
    let (mut own, small) = parted(used);
    for (i, layer) in own.iter_mut().enumerate() {
        layer.colour = palette::hue(i);
    }
    own.extend(together(small, shown.len()));
    own
}

fn rate(band: &Band, i: usize, shown: &[bool]) -> f64 {
    let rate = band.rates.get(i).copied().unwrap_or(0.0);
    if shown[i] && rate.is_finite() {
        rate.max(0.0)
    } else {
        0.0
    }
}

/// Those with a band of their own, and the small ones.
fn parted(used: Vec<(f64, Layer)>) -> (Vec<Layer>, Vec<Layer>) {
    let mut order: Vec<usize> = (0..used.len()).collect();
    order.sort_by(|&a, &b| used[b].0.total_cmp(&used[a].0));
    let mut own = vec![used.len() <= FEW; used.len()];
    if used.len() > FEW {
        // Among many, also those that are not among the largest; equal ones by their order.
        let most = if used.len() > MOST { MOST - 1 } else { MOST };
        let large = order.iter().take(most).filter(|&&i| used[i].0 >= SMALL);
        large.for_each(|&i| own[i] = true);
    }
    let mut kept = own.into_iter();
    let (own, small): (Vec<_>, Vec<_>) = used.into_iter().partition(|_| kept.next() == Some(true));
    let bare = |list: Vec<(f64, Layer)>| list.into_iter().map(|(_, layer)| layer).collect();
    (bare(own), bare(small))
}

/// The small ones as one band; a single one keeps its name.
fn together(small: Vec<Layer>, positions: usize) -> Option<Layer> {
    let count = small.len();
    if count < 2 {
        return small.into_iter().next();
    }
    let rates = (0..positions)
        .map(|i| small.iter().map(|l| l.rates[i]).sum())
        .collect();
    Some(Layer {
        name: format!("{count} others"),
        colour: OTHERS,
        rates,
    })
}

/// The height up to which the stack reaches below each layer at a position, and on top of all.
#[must_use]
pub fn edges(layers: &[Layer], position: usize) -> Vec<f64> {
    let mut sum = 0.0;
    let mut edges = vec![0.0];
    for layer in layers {
        sum += layer.rates[position];
        edges.push(sum);
    }
    edges
}

#[cfg(test)]
mod tests {
    use super::{edges, layers};
    use crate::report::picture::data::Band;

    fn bands(rates: &[f64]) -> Vec<Band> {
        let band = |(i, rate): (usize, &f64)| Band {
            name: format!("c{i}"),
            rates: vec![*rate],
        };
        rates.iter().enumerate().map(band).collect()
    }

    #[test]
    fn small_ones_are_taken_together_where_there_are_many() {
        let few = layers(&bands(&[60.0, 39.8, 0.2, 0.0]), &[true]);
        assert_eq!(few.len(), 3);
        let mut many = vec![9.9; 10];
        many.extend([0.3, 0.3, 0.4]);
        let many = layers(&bands(&many), &[true]);
        assert_eq!(many.len(), 11);
        assert_eq!(many[10].name, "3 others");
        assert!((edges(&many, 0)[11] - 100.0).abs() < 1e-9);
        let crowd: Vec<f64> = (1..=30).map(f64::from).collect();
        let crowd = layers(&bands(&crowd), &[true]);
        assert_eq!(crowd.len(), 15);
        assert!((edges(&crowd, 0)[15] - 465.0).abs() < 1e-9);
        // Equal ones share no colour with those that are taken together.
        let equal = layers(&bands(&[4.0; 22]), &[true]);
        assert_eq!(equal.len(), 15);
        assert_eq!(equal[14].name, "8 others");
        let mut colours: Vec<_> = equal.iter().map(|l| l.colour).collect();
        colours.sort_unstable();
        colours.dedup();
        assert_eq!(colours.len(), 15);
    }

    #[test]
    fn nothing_comes_of_what_is_no_number() {
        assert!(layers(&bands(&[f64::NAN, -1.0]), &[true]).is_empty());
        assert!(layers(&bands(&[3.0]), &[false]).is_empty());
    }
}
