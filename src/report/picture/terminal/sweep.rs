//! A sweep in plain characters: the curve of the goal, and where limits bind below it.

use crate::report::picture::data::Along;
use crate::report::picture::data::SweepPicture;
use crate::report::picture::scale;
use crate::report::picture::terminal::centred;
use crate::report::picture::terminal::curve;
use crate::report::picture::terminal::curve::Curve;
use crate::report::picture::terminal::cut;
use crate::report::picture::terminal::widest;

/// The most limits below the curve.
const MARKS: usize = 5;

/// The lines.
#[must_use]
pub fn lines(picture: &SweepPicture, width: usize) -> Vec<String> {
    let values: Vec<Option<f64>> = picture
        .goal_values
        .iter()
        .map(|v| v.filter(|v| v.is_finite()))
        .collect();
    let reach = scale::roomy(values.iter().copied().flatten());
    let label = widest(picture.marks.iter().map(|m| &m.label), width / 3);
    let aside = if label > 0 { label + 2 } else { 1 };
    let columns = width.saturating_sub(curve::margin(reach) + 1 + aside);
    let mut curve = Curve::new(columns, scale::covered(&picture.along), reach);
    for gap in &picture.gaps {
        let (from, to) = scale::drawn(&picture.along, gap.stretch);
        curve.nothing(from, to);
    }
    let joined = matches!(picture.along, Along::Numbers(_));
    let mut run: Vec<(f64, f64)> = Vec::new();
    for (x, value) in scale::positions(&picture.along).into_iter().zip(values) {
        match value {
            Some(value) if joined => run.push((x, value)),
            Some(value) => curve.mark(x, value),
            None => curve.line(&std::mem::take(&mut run)),
        }
    }
    curve.line(&run);
    let mut lines = vec![picture.goal.words()];
    lines.extend(curve.lines(&picture.along));
    lines.push(centred(&picture.x.words(), curve.margin + 1, columns));
    let limits = picture.marks.iter().take(MARKS).map(|mark| {
        let mut bar = vec!['·'; columns];
        for stretch in &mark.stretches {
            let (from, to) = scale::drawn(&picture.along, *stretch);
            bar[curve.column(from)..=curve.column(to)].fill('━');
        }
        let bar: String = bar.into_iter().collect();
        let margin = " ".repeat(curve.margin + 1);
        format!("{margin}{bar}  {}", cut(&mark.label, label))
    });
    lines.extend(limits);
    let margin = " ".repeat(curve.margin + 1);
    if picture.marks.len() > MARKS {
        let more = picture.marks.len() - MARKS;
        lines.push(format!(
            "{margin}and {more} more limits that bind somewhere"
        ));
    }
    let gaps: Vec<String> = picture
        .gaps
        .iter()
        .map(|gap| scale::stretch(&picture.along, &picture.x, gap.stretch))
        .collect();
    if !gaps.is_empty() {
        lines.push(format!(
            "{margin}{} no recipe {}",
            curve::NOTHING,
            gaps.join("; ")
        ));
    }
    lines
}
