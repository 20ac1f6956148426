//! What the pictures show: plain numbers and words, no types of a study.
//!
//! All words come ready, with their units; a picture adds none but "no recipe", "others" and the
//! heads of its own panels. A number that is not finite is drawn as absent.

/// What one axis shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Axis {
    /// The quantity: `cost`, `phosphorus, at most`.
    pub label: String,
    /// Its unit: `EUR/kg`, `ppm`; empty where it has none.
    pub unit: String,
}

impl Axis {
    /// An axis of a quantity in a unit.
    #[must_use]
    pub fn new(label: &str, unit: &str) -> Self {
        Axis {
            label: label.into(),
            unit: unit.into(),
        }
    }

    /// `cost, EUR/kg`; the label alone where there is no unit.
    #[must_use]
    pub fn words(&self) -> String {
        if self.unit.is_empty() {
            self.label.clone()
        } else {
            format!("{}, {}", self.label, self.unit)
        }
    }
}

/// The positions along an axis.
#[derive(Debug, Clone, PartialEq)]
pub enum Along {
    /// Numbers, none below the one before.
    Numbers(Vec<f64>),
    /// Words, such as grades: as far apart as each other. The position of a word is its index.
    Words(Vec<String>),
}

impl Along {
    /// How many positions.
    #[must_use]
    pub fn len(&self) -> usize {
        match self {
            Along::Numbers(numbers) => numbers.len(),
            Along::Words(words) => words.len(),
        }
    }

    /// Whether there is no position.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }
}

/// A stretch of an axis. Among words, both words belong to it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Where it begins.
    pub from: f64,
    /// Where it ends, at least `from`.
    pub to: f64,
}

/// Any picture.
#[derive(Debug, Clone, PartialEq)]
pub enum Picture {
    /// How recipe and goal move with one number.
    Sweep(SweepPicture),
    /// How the goal moves with two numbers.
    Map(MapPicture),
    /// What one property costs in another.
    Frontier(FrontierPicture),
    /// What small moves do to the goal, the greatest first.
    Tornado(TornadoPicture),
    /// Where the lab's results may lie.
    Distribution(DistributionPicture),
}

/// How recipe and goal move with one number of the problem.
#[derive(Debug, Clone, PartialEq)]
pub struct SweepPicture {
    /// The head of the picture.
    pub title: String,
    /// What is moved.
    pub x: Axis,
    /// Where it was set.
    pub along: Along,
    /// Which of these positions were asked for and have a dot; the others lie beside a break, one just
    /// before it and one just after it, at the same number.
    pub asked: Vec<bool>,
    /// What was minimised: `cost`, `EUR/kg`.
    pub goal: Axis,
    /// Its value at each position; none where there is no recipe.
    pub goal_values: Vec<Option<f64>>,
    /// The treat rates of each component; the first is drawn at the bottom of the stack.
    pub components: Vec<Band>,
    /// Where each limit binds, one row a limit.
    pub marks: Vec<Mark>,
    /// Where the set of used components or of binding limits changes.
    pub breaks: Vec<f64>,
    /// Where there is no recipe.
    pub gaps: Vec<Gap>,
    /// Sentences below the picture.
    pub notes: Vec<String>,
}

/// One component of a stack.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// The component's name.
    pub name: String,
    /// Its treat rate at each position, mass %; anything where there is no recipe.
    pub rates: Vec<f64>,
}

/// Where a limit binds.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// The limit: `phosphorus ≤ 800 ppm`.
    pub label: String,
    /// The stretches of the axis in which it binds.
    pub stretches: Vec<Stretch>,
}

/// Where there is no recipe, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct Gap {
    /// The stretch of the axis.
    pub stretch: Stretch,
    /// Why: a sentence without its full stop; empty where not known.
    pub reason: String,
}

/// How the goal moves with two numbers of the problem.
#[derive(Debug, Clone, PartialEq)]
pub struct MapPicture {
    /// The head of the picture.
    pub title: String,
    /// What is moved from left to right.
    pub x: Axis,
    /// Its positions: the columns.
    pub along_x: Along,
    /// What is moved from bottom to top.
    pub y: Axis,
    /// Its positions: the rows, from the bottom.
    pub along_y: Along,
    /// What was minimised.
    pub goal: Axis,
    /// One cell a pair of positions: row after row from the bottom, each from the left.
    pub cells: Vec<Cell>,
    /// What binds, region by region.
    pub regions: Vec<String>,
    /// The same as paths name it, where there is little room.
    pub keys: Vec<String>,
    /// Sentences below the map.
    pub notes: Vec<String>,
}

/// One cell of a map.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cell {
    /// The goal; none where there is no recipe.
    pub goal: Option<f64>,
    /// The region, as an index of `MapPicture::regions`; anything where there is no recipe.
    pub region: usize,
}

/// What one property costs in another.
#[derive(Debug, Clone, PartialEq)]
pub struct FrontierPicture {
    /// The head of the picture.
    pub title: String,
    /// The property from left to right.
    pub x: Axis,
    /// The property from bottom to top.
    pub y: Axis,
    /// The non-dominated recipes, in their order along the curve.
    pub points: Vec<FrontierPoint>,
    /// After which points the curve jumps: no line is drawn from point `i` to point `i + 1`.
    pub jumps: Vec<usize>,
    /// What the first and the last point are: `cheapest`, `lowest Noack loss`.
    pub ends: [String; 2],
}

/// One recipe of a frontier.
#[derive(Debug, Clone, PartialEq)]
pub struct FrontierPoint {
    /// Value of the property from left to right.
    pub x: f64,
    /// Value of the property from bottom to top.
    pub y: f64,
    /// The exchange rate here in words, where it is to be shown: `0.12 EUR/kg per 1 %`.
    pub rate: String,
}

/// What small moves do to the goal.
#[derive(Debug, Clone, PartialEq)]
pub struct TornadoPicture {
    /// The head of the picture.
    pub title: String,
    /// The change: `change of cost`, `EUR/kg`.
    pub axis: Axis,
    /// What the two ways are called: `tightened`, `loosened`.
    pub ways: [String; 2],
    /// One bar a row, drawn in this order from the top.
    pub bars: Vec<TornadoBar>,
}

/// One row of a tornado: one thing moved both ways.
#[derive(Debug, Clone, PartialEq)]
pub struct TornadoBar {
    /// What is moved, and from where: `phosphorus ≤ 800 ppm`.
    pub label: String,
    /// The two moves, in the order of `TornadoPicture::ways`; none where one was not asked.
    pub moves: [Option<Moved>; 2],
}

/// One move and what it does.
#[derive(Debug, Clone, PartialEq)]
pub struct Moved {
    /// Where to: `737`.
    pub to: String,
    /// The change of the goal; none where no recipe is left.
    pub effect: Option<f64>,
}

/// Where the lab's results may lie, one panel a property.
#[derive(Debug, Clone, PartialEq)]
pub struct DistributionPicture {
    /// The head of the picture.
    pub title: String,
    /// The panels, drawn in this order.
    pub panels: Vec<DistributionPanel>,
    /// What holds for all limits together, in words; may be empty.
    pub together: String,
}

/// The distribution of one property.
#[derive(Debug, Clone, PartialEq)]
pub struct DistributionPanel {
    /// The property.
    pub axis: Axis,
    /// Where the first bin begins.
    pub from: f64,
    /// The width of a bin, above 0.
    pub width: f64,
    /// How many draws, or which share, each bin holds; at least 0.
    pub bins: Vec<f64>,
    /// The minimum: its value and its words, such as `min 16.3`.
    pub min: Option<LimitLine>,
    /// The maximum.
    pub max: Option<LimitLine>,
    /// The probability to pass, in words: `passes 97.2 %`.
    pub pass: String,
}

/// A limit in a distribution.
#[derive(Debug, Clone, PartialEq)]
pub struct LimitLine {
    /// Its value, in the axis' unit.
    pub value: f64,
    /// Its words.
    pub words: String,
}
