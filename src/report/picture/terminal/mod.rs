//! Pictures in plain characters, for a person at a terminal: at most about twenty lines.

use crate::report::picture::data::Along;
use crate::report::picture::data::DistributionPanel;
use crate::report::picture::data::DistributionPicture;
use crate::report::picture::data::FrontierPicture;
use crate::report::picture::data::MapPicture;
use crate::report::picture::data::Picture;
use crate::report::picture::data::SweepPicture;
use crate::report::picture::data::TornadoPicture;
use crate::report::picture::describe;
use crate::report::picture::grid::Grid;
use crate::report::picture::scale;
use crate::report::picture::scale::Scale;
use crate::report::picture::scale::index;
use crate::report::picture::terminal::curve::Curve;
use crate::report::picture::terminal::curve::nearest;

pub mod dots;

pub mod curve;

/// The narrowest plot that says anything; a narrower terminal wraps it.
const NARROWEST: usize = 40;

/// The most rows of a list: limits, bars, panels.
const LIST: usize = 14;

/// The most limits below a curve.
const MARKS: usize = 6;

/// The most lines of a map.
const MAP: usize = 15;

/// The widest label beside a plot.
const LABEL: usize = 30;

/// The picture in plain characters, each line at most this wide where it is at least 40; it ends
/// with a line break.
#[must_use]
pub fn plot(picture: &Picture, width: usize) -> String {
    let width = width.max(NARROWEST);
    let lines = match picture {
        Picture::Sweep(picture) => sweep(picture, width),
        Picture::Map(picture) => map(picture, width),
        Picture::Frontier(picture) => frontier(picture, width),
        Picture::Tornado(picture) => tornado(picture, width),
        Picture::Distribution(picture) => distribution(picture, width),
    };
    lines
        .iter()
        .map(|line| format!("{}\n", cut(line.trim_end(), width)))
        .collect()
}

/// A text in at most so many characters.
fn cut(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.into();
    }
    let kept: String = text.chars().take(most.saturating_sub(1)).collect();
    format!("{}…", kept.trim_end())
}

/// The widest of some labels, within reason.
fn widest<'a>(labels: impl Iterator<Item = &'a String>, most: usize) -> usize {
    labels
        .map(|l| l.chars().count())
        .max()
        .unwrap_or(0)
        .min(most)
}

fn sweep(picture: &SweepPicture, width: usize) -> Vec<String> {
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
            Some(value) => curve.line(&[(x, value)]),
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
        lines.push(format!("{margin}and {more} more limits that bind somewhere"));
    }
    let gaps: Vec<String> = picture
        .gaps
        .iter()
        .map(|gap| scale::stretch(&picture.along, &picture.x, gap.stretch))
        .collect();
    if !gaps.is_empty() {
        lines.push(format!("{margin}{} no recipe {}", curve::NOTHING, gaps.join("; ")));
    }
    lines
}

/// Words in the middle below a plot.
fn centred(words: &str, margin: usize, columns: usize) -> String {
    let room = columns.saturating_sub(words.chars().count()) / 2;
    format!("{}{words}", " ".repeat(margin + room))
}

fn map(picture: &MapPicture, width: usize) -> Vec<String> {
    let grid = Grid::of(picture);
    let present: Vec<usize> = grid.present().into_iter().flatten().collect();
    let letter = |region: usize| {
        let place = present.iter().position(|p| *p == region).unwrap_or(0);
        ('A'..='Z').chain('a'..='z').nth(place).unwrap_or('?')
    };
    let names = names(&picture.along_y, &picture.y.unit);
    let margin = widest(names.iter(), 14);
    let rows = grid.rows.clamp(1, MAP);
    let wide = if grid.columns * 2 + margin + 2 < width { 2 } else { 1 };
    let columns = grid.columns.clamp(1, width.saturating_sub(margin + 2));
    let mut lines = vec![picture.y.words()];
    if grid.columns == 0 || grid.rows == 0 {
        return lines;
    }
    for row in (0..rows).rev() {
        let from = sampled(row, rows, grid.rows);
        let cells: String = (0..columns)
            .map(|column| match grid.owner(sampled(column, columns, grid.columns), from) {
                Some(region) => letter(region).to_string().repeat(wide),
                None => "·".repeat(wide),
            })
            .collect();
        let name = if row % 3 == 0 || rows < 6 { names[from].as_str() } else { "" };
        lines.push(format!("{:>margin$} │{cells}", cut(name, margin)));
    }
    lines.push(format!("{} └{}", " ".repeat(margin), "─".repeat(columns * wide)));
    let ends = self::names(&picture.along_x, &picture.x.unit);
    let name = picture.x.words();
    if let (Some(first), Some(last)) = (ends.first(), ends.last()) {
        let line = if grid.columns == 1 { first.clone() } else { format!("{first} to {last}: {name}") };
        lines.push(centred(&line, margin + 2, columns * wide));
    }
    let key = present.iter().map(|r| (letter(*r), picture.regions[*r].clone()));
    let mut key: Vec<String> = key.map(|(l, name)| format!("{l}  {name}")).collect();
    if grid.present().contains(&None) {
        key.push("·  no recipe".into());
    }
    if let Some((low, high)) = scale::ends(picture.cells.iter().filter_map(|c| c.goal)) {
        let ends = [low, high].map(|v| crate::report::number::digits(v, 4));
        key.push(format!("{} from {} to {}", picture.goal.words(), ends[0], ends[1]));
    }
    // Beside the map where there is room, else below it.
    let taken = margin + 2 + columns * wide + 3;
    let room = width.saturating_sub(taken);
    if room >= widest(key.iter(), LABEL) && key.len() <= rows {
        for (line, entry) in lines[1..].iter_mut().zip(key) {
            let space = (taken).saturating_sub(line.chars().count());
            line.push_str(&format!("{}{entry}", " ".repeat(space)));
        }
    } else {
        lines.extend(key);
    }
    lines
}

/// Each position in words.
fn names(along: &Along, unit: &str) -> Vec<String> {
    match along {
        Along::Words(words) => words.clone(),
        Along::Numbers(numbers) => {
            let axis = crate::report::picture::data::Axis::new("", unit);
            let bare = crate::report::picture::data::Axis::new("", "");
            let _ = axis;
            let named = numbers.iter().map(|n| {
                let at = crate::report::picture::data::Stretch { from: *n, to: *n };
                scale::stretch(along, &bare, at)
            });
            named.map(|n| n.trim_start_matches("at ").to_owned()).collect()
        }
    }
}

/// The index among `of` that the `i`-th of `count` evenly spread ones shows.
fn sampled(i: usize, count: usize, of: usize) -> usize {
    if count < 2 {
        return 0;
    }
    (i * (of - 1) + (count - 1) / 2) / (count - 1)
}

fn frontier(picture: &FrontierPicture, width: usize) -> Vec<String> {
    let sound = |p: &(f64, f64)| p.0.is_finite() && p.1.is_finite();
    let points: Vec<(f64, f64)> = picture.points.iter().map(|p| (p.x, p.y)).collect();
    let x = scale::roomy(points.iter().filter(|p| sound(p)).map(|p| p.0));
    let y = scale::roomy(points.iter().filter(|p| sound(p)).map(|p| p.1));
    let columns = width.saturating_sub(curve::margin(y) + 2);
    let mut curve = Curve::new(columns, x, y);
    let mut run = Vec::new();
    for (i, point) in points.iter().enumerate() {
        if sound(point) {
            run.push(*point);
        }
        if picture.jumps.contains(&i) {
            curve.line(&std::mem::take(&mut run));
        }
    }
    curve.line(&run);
    let mut lines = vec![picture.y.words()];
    lines.extend(curve.lines(&Along::Numbers(Vec::new())));
    lines.push(centred(&picture.x.words(), curve.margin + 1, columns));
    lines
}

fn tornado(picture: &TornadoPicture, width: usize) -> Vec<String> {
    let label = widest(picture.bars.iter().map(|b| &b.label), (width / 3).min(LABEL));
    let effects = picture.bars.iter().flat_map(|b| b.moves.iter().flatten());
    let most = effects
        .filter_map(|m| m.effect)
        .filter(|e| e.is_finite())
        .fold(0.0, |most: f64, e| most.max(e.abs()));
    let numbers = 22;
    let half = width.saturating_sub(label + numbers + 3) / 2;
    let mut lines = vec![format!(
        "{}: █ {}, ▒ {}",
        picture.axis.words(),
        picture.ways[0],
        picture.ways[1]
    )];
    for bar in picture.bars.iter().take(LIST) {
        let mut row = vec![' '; 2 * half + 1];
        // The longer first, so that the shorter is seen on it.
        let mut drawn: Vec<(f64, char)> = bar
            .moves
            .iter()
            .zip(['█', '▒'])
            .filter_map(|(moved, mark)| Some((moved.as_ref()?.effect.filter(|e| e.is_finite())?, mark)))
            .collect();
        drawn.sort_by(|a, b| b.0.abs().total_cmp(&a.0.abs()));
        for (effect, mark) in drawn {
            let share = if most > 0.0 { effect.abs() / most } else { 0.0 };
            let long = nearest(share * index(half));
            let from = if effect > 0.0 { half + 1 } else { half - long };
            row[from..from + long].fill(mark);
        }
        row[half] = '│';
        let changes = bar.moves.each_ref().map(|m| m.as_ref().map_or(String::new(), |m| describe::change(m.effect)));
        let row: String = row.into_iter().collect();
        let name = cut(&bar.label, label);
        lines.push(format!("{name:<label$} {row} {:>10} {:>10}", changes[0], changes[1]));
    }
    if picture.bars.len() > LIST {
        lines.push(format!("and {} smaller ones", picture.bars.len() - LIST));
    }
    lines
}

fn distribution(picture: &DistributionPicture, width: usize) -> Vec<String> {
    let names: Vec<String> = picture.panels.iter().map(|p| p.axis.words()).collect();
    let label = widest(names.iter(), LABEL);
    let pass = widest(picture.panels.iter().map(|p| &p.pass), LABEL);
    let room = width.saturating_sub(label + pass + 4).clamp(8, 48);
    let mut lines = Vec::new();
    for (panel, name) in picture.panels.iter().zip(&names).take(LIST) {
        let hump = hump(panel, room);
        lines.push(format!("{:<label$}  {hump}  {}", cut(name, label), cut(&panel.pass, pass)));
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
    const STEPS: [char; 9] = [' ', '▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
    let limits = [&panel.min, &panel.max];
    let limits: Vec<f64> = limits.into_iter().flatten().map(|l| l.value).collect();
    let end = panel.from + panel.width * index(panel.bins.len());
    let span = end - panel.from;
    let near = limits.iter().filter(|v| **v > panel.from - span && **v < end + span);
    let reach = scale::exact([panel.from, end].into_iter().chain(near.copied()));
    let across = Scale::new(reach, 0.0, index(columns));
    let mut sums = vec![0.0; columns];
    for (i, bin) in panel.bins.iter().enumerate() {
        let middle = across.at(panel.from + panel.width * (index(i) + 0.5));
        let column = nearest((middle - 0.5).max(0.0)).min(columns - 1);
        sums[column] += if bin.is_finite() { bin.max(0.0) } else { 0.0 };
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
