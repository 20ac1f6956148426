//! Distributions in plain characters: one line a property, limits as upright strokes.

use crate::report::picture::data::DistributionPanel;
use crate::report::picture::data::DistributionPicture;
use crate::report::picture::scale;
use crate::report::picture::scale::Scale;
use crate::report::picture::scale::index;
use crate::report::picture::terminal::LABEL;
use crate::report::picture::terminal::LIST;
use crate::report::picture::terminal::curve::nearest;
use crate::report::picture::terminal::cut;
use crate::report::picture::terminal::widest;

/// Blocks from nothing to full.
const STEPS: [char; 9] = [' ', '▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];

/// The lines.
#[must_use]
pub fn lines(picture: &DistributionPicture, width: usize) -> Vec<String> {
    let names: Vec<String> = picture.panels.iter().map(|p| p.axis.words()).collect();
    let label = widest(names.iter(), LABEL);
    let pass = widest(picture.panels.iter().map(|p| &p.pass), LABEL);
    let room = width.saturating_sub(label + pass + 4).clamp(8, 48);
    let mut lines = Vec::new();
    for (panel, name) in picture.panels.iter().zip(&names).take(LIST) {
        let hump = hump(panel, room);
        lines.push(format!(
            "{:<label$}  {hump}  {}",
            cut(name, label),
            cut(&panel.pass, pass)
        ));
    }
    if picture.panels.len() > LIST {
        lines.push(format!("and {} more", picture.panels.len() - LIST));
    }
    if !picture.together.is_empty() {
        lines.push(picture.together.clone());
    }
    lines
}

/// A hump in one line, its limits as upright strokes.
fn hump(panel: &DistributionPanel, columns: usize) -> String {
    let limits = [&panel.min, &panel.max];
    let limits: Vec<f64> = limits.into_iter().flatten().map(|l| l.value).collect();
    let end = panel.from + panel.width * index(panel.bins.len());
    let span = end - panel.from;
    let near = limits
        .iter()
        .filter(|v| **v > panel.from - span && **v < end + span);
    let reach = scale::exact([panel.from, end].into_iter().chain(near.copied()));
    let across = Scale::new(reach, 0.0, index(columns));
    let mut sums = vec![0.0; columns];
    for (i, bin) in panel.bins.iter().enumerate() {
        let bin = if bin.is_finite() { bin.max(0.0) } else { 0.0 };
        let left = across.at(panel.from + panel.width * index(i));
        let right = across.at(panel.from + panel.width * index(i + 1));
        // Each column takes its part of the bin.
        for (column, sum) in sums.iter_mut().enumerate() {
            let shared = right.min(index(column + 1)) - left.max(index(column));
            if shared > 0.0 && right > left {
                *sum += bin * shared / (right - left);
            }
        }
    }
    let most = sums.iter().copied().fold(0.0, f64::max);
    let mut line: Vec<char> = sums
        .iter()
        .map(|sum| {
            let share = if most > 0.0 { sum / most } else { 0.0 };
            STEPS[nearest(share * 8.0).min(8)]
        })
        .collect();
    for limit in limits.iter().filter(|v| **v >= reach.0 && **v <= reach.1) {
        let column = nearest((across.at(*limit) - 0.5).max(0.0)).min(columns - 1);
        line[column] = '│';
    }
    line.into_iter().collect()
}
