//! A drawn page read back into numbers: shapes with their places, and axes by the numbers beside them.

use resvg::usvg::roxmltree::{Document, Node};

/// A place on the page, in its own units from the left and from the top.
pub(crate) type Place = (f64, f64);

/// One thing on a page.
#[derive(Debug, Clone)]
pub(crate) struct Thing {
    /// `text`, `rect`, `circle`, `polygon` or `polyline`.
    pub(crate) tag: String,
    /// What a text says.
    pub(crate) words: String,
    /// The colour of its area, or of its line.
    pub(crate) colour: String,
    /// Its corners; of a text or disc the one place.
    pub(crate) places: Vec<Place>,
}

impl Thing {
    fn of(node: Node<'_, '_>) -> Thing {
        let number = |name: &str| -> f64 {
            node.attribute(name)
                .map_or(0.0, |n| n.parse().expect("a number"))
        };
        let colour = ["fill", "stroke"]
            .into_iter()
            .find_map(|a| node.attribute(a).filter(|c| *c != "none"));
        let places = match node.tag_name().name() {
            "circle" => vec![(number("cx"), number("cy"))],
            "rect" => vec![
                (number("x"), number("y")),
                (
                    number("x") + number("width"),
                    number("y") + number("height"),
                ),
            ],
            "text" => vec![(number("x"), number("y"))],
            _ => pairs(node.attribute("points").expect("points")),
        };
        let said = node.text().unwrap_or_default();
        Thing {
            tag: node.tag_name().name().into(),
            words: said.split_whitespace().collect::<Vec<_>>().join(" "),
            colour: colour.unwrap_or_default().into(),
            places,
        }
    }
}

fn pairs(text: &str) -> Vec<Place> {
    let pair = |p: &str| {
        let (x, y) = p.split_once(',').expect("a pair");
        (x.parse().expect("a number"), y.parse().expect("a number"))
    };
    text.split_whitespace().map(pair).collect()
}

/// A page.
pub(crate) struct Sheet {
    /// What is on it, in the order of drawing.
    pub(crate) things: Vec<Thing>,
}

impl Sheet {
    /// Reads an SVG.
    pub(crate) fn of(svg: &str) -> Sheet {
        let document = Document::parse(svg).expect("well-formed XML");
        let shapes = document.descendants().filter(|n| {
            let tag = n.tag_name().name();
            ["text", "rect", "circle", "polygon", "polyline"].contains(&tag)
        });
        Sheet {
            things: shapes.map(Thing::of).collect(),
        }
    }

    /// All of a tag and colour.
    pub(crate) fn all(&self, tag: &str, colour: &str) -> Vec<&Thing> {
        let of = |t: &&Thing| t.tag == tag && t.colour == colour;
        self.things.iter().filter(of).collect()
    }

    /// Every text.
    pub(crate) fn words(&self) -> Vec<&Thing> {
        self.things.iter().filter(|t| t.tag == "text").collect()
    }

    /// Whether a text stands on the page, whole.
    pub(crate) fn says(&self, words: &str) -> bool {
        self.things.iter().any(|t| t.words == words)
    }

    /// Everything that is said, one after the other.
    pub(crate) fn told(&self) -> String {
        let words: Vec<&str> = self.words().iter().map(|t| t.words.as_str()).collect();
        words.join(" ")
    }

    /// Where a text stands.
    pub(crate) fn place(&self, words: &str) -> Place {
        let text = self.things.iter().find(|t| t.words == words);
        text.unwrap_or_else(|| panic!("no `{words}` in {}", self.told()))
            .places[0]
    }

    /// The axis whose small marks or grid lines, each drawn before its number, lie in a part of the page.
    pub(crate) fn axis(&self, upright: bool, within: impl Fn(Place) -> bool) -> Axis {
        let mut named = Vec::new();
        for pair in self.things.windows(2) {
            let (line, text) = (&pair[0], &pair[1]);
            if line.tag != "polyline" || text.tag != "text" || line.places.len() != 2 {
                continue;
            }
            let (a, b) = (line.places[0], line.places[1]);
            let (along, across) = if upright { (a.1, b.1) } else { (a.0, b.0) };
            let value = text.words.replace('−', "-").parse::<f64>();
            // What runs along the axis is no mark of it.
            let marks = (along - across).abs() < 0.5;
            if let (true, true, Ok(value)) = (marks, within(b), value) {
                named.push((along, value));
            }
        }
        Axis::through(&named)
    }
}

/// An axis, by the numbers beside it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Axis {
    from: (f64, f64),
    slope: f64,
}

impl Axis {
    /// Through numbers at places; all of them lie on it.
    fn through(named: &[(f64, f64)]) -> Axis {
        let (first, last) = (named[0], named[named.len() - 1]);
        assert!((first.0 - last.0).abs() > 1.0, "{named:?}");
        let slope = (last.1 - first.1) / (last.0 - first.0);
        let axis = Axis { from: first, slope };
        for (at, value) in named {
            axis.holds(*at, *value, "a number beside the axis");
        }
        axis
    }

    /// The number at a place.
    pub(crate) fn value(&self, at: f64) -> f64 {
        self.from.1 + (at - self.from.0) * self.slope
    }

    /// Fails where a place is not that of a number: more than a fifth of a pixel beside it.
    pub(crate) fn holds(&self, at: f64, value: f64, what: &str) {
        let off = (self.value(at) - value) / self.slope;
        assert!(
            off.abs() <= 2.0,
            "{what}: {value} is drawn at {}",
            self.value(at)
        );
    }

    /// Whether a place is that of a number.
    pub(crate) fn is(&self, at: f64, value: f64) -> bool {
        ((self.value(at) - value) / self.slope).abs() <= 2.0
    }
}
