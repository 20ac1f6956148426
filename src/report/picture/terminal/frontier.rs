//! A frontier in plain characters: the curve, and its two ends in words.

use crate::report::picture::data::Along;
use crate::report::picture::data::FrontierPicture;
use crate::report::picture::describe;
use crate::report::picture::scale;
use crate::report::picture::terminal::centred;
use crate::report::picture::terminal::curve;
use crate::report::picture::terminal::curve::Curve;

/// The lines.
#[must_use]
pub fn lines(picture: &FrontierPicture, width: usize) -> Vec<String> {
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
    lines.extend(describe::ends(picture));
    lines
}
