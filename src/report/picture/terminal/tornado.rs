//! A tornado in plain characters: a bar each way, and the changes in numbers.

use crate::report::picture::data::Moved;
use crate::report::picture::data::TornadoPicture;
use crate::report::picture::describe;
use crate::report::picture::scale::index;
use crate::report::picture::terminal::LABEL;
use crate::report::picture::terminal::LIST;
use crate::report::picture::terminal::curve::NOTHING;
use crate::report::picture::terminal::curve::nearest;
use crate::report::picture::terminal::cut;
use crate::report::picture::terminal::widest;
use crate::report::picture::tornado;

/// Characters of the two numbers beside a bar.
const NUMBERS: usize = 22;

/// The lines.
#[must_use]
pub fn lines(picture: &TornadoPicture, width: usize) -> Vec<String> {
    let label = widest(
        picture.bars.iter().map(|b| &b.label),
        (2 * width / 5).min(LABEL),
    );
    let effects = picture.bars.iter().flat_map(|b| b.moves.iter().flatten());
    let most = effects
        .filter_map(|m| m.effect)
        .filter(|e| e.is_finite())
        .fold(0.0, |most: f64, e| most.max(e.abs()));
    let places = describe::change_places(picture);
    let half = width.saturating_sub(label + NUMBERS + 3) / 2;
    let mut lines = vec![format!(
        "{}: █ {}, ▒ {}",
        picture.axis.words(),
        picture.ways[0],
        picture.ways[1]
    )];
    for bar in picture.bars.iter().take(LIST) {
        let mut row = vec![' '; 2 * half + 1];
        let sides = tornado::sides(bar);
        for (moved, right) in bar.moves.iter().zip(sides) {
            if moved.as_ref().is_some_and(|m| m.effect.is_none()) {
                let from = if right { half + 1 } else { 0 };
                row[from..from + half].fill(NOTHING);
            }
        }
        // The longer first, so that the shorter is seen on it.
        let effect = |moved: &Option<Moved>| moved.as_ref()?.effect.filter(|e| e.is_finite());
        let mut drawn: Vec<(f64, char)> = bar
            .moves
            .iter()
            .zip(['█', '▒'])
            .filter_map(|(moved, mark)| Some((effect(moved)?, mark)))
            .collect();
        drawn.sort_by(|a, b| b.0.abs().total_cmp(&a.0.abs()));
        for (effect, mark) in drawn {
            let share = if most > 0.0 { effect.abs() / most } else { 0.0 };
            let long = nearest(share * index(half)).min(half);
            let from = if effect > 0.0 { half + 1 } else { half - long };
            row[from..from + long].fill(mark);
        }
        row[half] = '│';
        let changes = bar.moves.each_ref().map(|m| {
            m.as_ref()
                .map_or(String::new(), |m| describe::change(m.effect, places))
        });
        let row: String = row.into_iter().collect();
        let name = cut(&bar.label, label);
        lines.push(format!(
            "{name:<label$} {row} {:>10} {:>10}",
            changes[0], changes[1]
        ));
    }
    if picture.bars.len() > LIST {
        lines.push(format!("and {} smaller ones", picture.bars.len() - LIST));
    }
    lines
}
