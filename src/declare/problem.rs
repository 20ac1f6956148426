//! What the finished oil must be, checked: limits, treat bands, rules, and what to minimise.

use crate::declare::component::{Band, Component};
use crate::declare::property::{Datum, Property};
use crate::fault::Place;
use crate::quantity::{Share, Unit};

/// A lower or an upper limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// At least.
    Min,
    /// At most.
    Max,
}

impl Side {
    /// The word in files and answers.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Side::Min => "min",
            Side::Max => "max",
        }
    }
}

/// Who set a limit.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum LimitSource {
    /// The problem's `[limits]` table.
    Problem,
    /// A viscosity grade of a standard, with the standard's name and the grade: `SAE J300 5W-50`.
    Grade(String),
    /// A published class, with its name and how sure its number is: `ACEA C3`, `from memory`.
    Class(String, String),
    /// The question itself, beside the problem.
    Asked,
}

/// One side of one limit.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// What is limited.
    pub property: Property,
    /// Which way.
    pub side: Side,
    /// The number that the search obeys, in the property's unit.
    pub bound: f64,
    /// The number as the file or the standard prints it; differs from `bound` where the standard
    /// says "strictly below" (`< 12.5` is obeyed as `≤ 12.49`, the test's last decimal).
    pub stated: f64,
    /// Whether the standard says "strictly below".
    pub strict: bool,
    /// Who set it.
    pub source: LimitSource,
    /// Where the problem file says so.
    pub place: Place,
}

impl Limit {
    /// The width of its property's window among `limits`, else the size of its bound, at least 1: what
    /// tolerances and violations are parts of.
    #[must_use]
    pub fn span(&self, limits: &[Limit]) -> f64 {
        let of = |side: Side| {
            limits
                .iter()
                .filter(move |l| l.property == self.property && l.side == side)
                .map(|l| l.bound)
        };
        let low = of(Side::Min).fold(f64::NEG_INFINITY, f64::max);
        let high = of(Side::Max).fold(f64::INFINITY, f64::min);
        if (high - low).is_finite() && high > low {
            high - low
        } else {
            self.bound.abs().max(1.0)
        }
    }
}

/// Which way the goal pulls.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sense {
    /// As low as possible.
    Minimise,
    /// As high as possible.
    Maximise,
}

/// What makes one recipe better than another.
#[derive(Debug, Clone, PartialEq)]
pub struct Goal {
    /// Which way.
    pub sense: Sense,
    /// Of what.
    pub property: Property,
    /// Where the problem file says so.
    pub place: Place,
}

/// How kinematic viscosities of polymer-free fluids mix (`predict` holds the equations).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ViscosityRule {
    /// `double-log-mass`: ln ln(ν + 0.8) on mass; the default.
    DoubleLogMass,
    /// `walther-volume`: log10 log10 Z on volume (ASTM D7152, "ASTM" procedure).
    WaltherVolume,
    /// `wright-mass`: each component's viscosity–temperature line, mixed on mass (ASTM D7152).
    WrightMass,
    /// `wright-volume`: the same on volume.
    WrightVolume,
    /// `log-mass`: ln ν on mass (Arrhenius).
    LogMass,
}

impl ViscosityRule {
    /// Every rule.
    pub const ALL: [ViscosityRule; 5] = [
        ViscosityRule::DoubleLogMass,
        ViscosityRule::WaltherVolume,
        ViscosityRule::WrightMass,
        ViscosityRule::WrightVolume,
        ViscosityRule::LogMass,
    ];

    /// The word in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            ViscosityRule::DoubleLogMass => "double-log-mass",
            ViscosityRule::WaltherVolume => "walther-volume",
            ViscosityRule::WrightMass => "wright-mass",
            ViscosityRule::WrightVolume => "wright-volume",
            ViscosityRule::LogMass => "log-mass",
        }
    }
}

/// How a polymer thickens its base fluid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ThickeningLaw {
    /// `η/η_base = 1 + s·exp(K s)`; the default.
    Martin,
    /// `η/η_base = 1 + s + K s²`.
    Huggins,
}

impl ThickeningLaw {
    /// Every law.
    pub const ALL: [ThickeningLaw; 2] = [ThickeningLaw::Martin, ThickeningLaw::Huggins];

    /// The word in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            ThickeningLaw::Martin => "martin",
            ThickeningLaw::Huggins => "huggins",
        }
    }
}

/// How zinc counts in calculated sulfated ash.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ZincAsh {
    /// Factor 1.50, the trade table's; the default.
    Trade,
    /// As oxide, factor 1.245.
    Oxide,
    /// As sulfate, factor 2.469.
    Sulfate,
}

impl ZincAsh {
    /// Every way.
    pub const ALL: [ZincAsh; 3] = [ZincAsh::Trade, ZincAsh::Oxide, ZincAsh::Sulfate];

    /// The word in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            ZincAsh::Trade => "trade",
            ZincAsh::Oxide => "oxide",
            ZincAsh::Sulfate => "sulfate",
        }
    }
}

/// The mixing choices of a shelf (`[mixing]`), overridable by the problem's table of the same name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Mixing {
    /// Kinematic viscosity of the polymer-free fluid.
    pub viscosity: ViscosityRule,
    /// Polymer thickening.
    pub thickening: ThickeningLaw,
    /// Zinc in calculated ash.
    pub zinc_ash: ZincAsh,
}

impl Default for Mixing {
    fn default() -> Self {
        Mixing {
            viscosity: ViscosityRule::DoubleLogMass,
            thickening: ThickeningLaw::Martin,
            zinc_ash: ZincAsh::Trade,
        }
    }
}

/// A mixing rule for a property that the tool does not know.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum UserRule {
    /// Σ x p
    MassLinear,
    /// Σ φ p
    VolumeLinear,
    /// exp Σ x ln p
    LogMass,
    /// exp Σ φ ln p
    LogVolume,
    /// exp exp Σ x ln ln(p + 0.8) − 0.8
    DoubleLogMass,
    /// exp exp Σ φ ln ln(p + 0.8) − 0.8
    DoubleLogVolume,
    /// 1 / Σ x/p
    ReciprocalMass,
}

impl UserRule {
    /// Every rule.
    pub const ALL: [UserRule; 7] = [
        UserRule::MassLinear,
        UserRule::VolumeLinear,
        UserRule::LogMass,
        UserRule::LogVolume,
        UserRule::DoubleLogMass,
        UserRule::DoubleLogVolume,
        UserRule::ReciprocalMass,
    ];

    /// The word in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            UserRule::MassLinear => "mass-linear",
            UserRule::VolumeLinear => "volume-linear",
            UserRule::LogMass => "log-mass",
            UserRule::LogVolume => "log-volume",
            UserRule::DoubleLogMass => "double-log-mass",
            UserRule::DoubleLogVolume => "double-log-volume",
            UserRule::ReciprocalMass => "reciprocal-mass",
        }
    }
}

/// A property that the problem declares.
#[derive(Debug, Clone, PartialEq)]
pub struct UserProperty {
    /// Its key, on shelves and in limits.
    pub name: String,
    /// Its unit.
    pub unit: Unit,
    /// How it mixes.
    pub rule: UserRule,
    /// The value of a component that states none; `None` refuses such a component.
    pub missing: Option<f64>,
    /// Where the problem file declares it.
    pub place: Place,
}

/// A named sum of treat rates, with its members resolved to components.
#[derive(Debug, Clone, PartialEq)]
pub struct TreatGroup {
    /// Its key in limits.
    pub name: String,
    /// Indices into [`Problem::components`], ascending.
    pub members: Vec<usize>,
    /// Where the problem file declares it.
    pub place: Place,
}

/// A rule of recipe logic; components are indices into [`Problem::components`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Rule {
    /// At most this many components are used.
    AtMost(usize, Place),
    /// No two of these are used together.
    NotTogether(Vec<usize>, Place),
    /// Exactly one of these is used.
    OneOf(Vec<usize>, Place),
    /// The first is used only with the second.
    Needs(usize, usize, Place),
}

impl Rule {
    /// The key in the problem's `[rules]` table.
    #[must_use]
    pub fn key(&self) -> &'static str {
        match self {
            Rule::AtMost(..) => "at-most",
            Rule::NotTogether(..) => "not-together",
            Rule::OneOf(..) => "one-of",
            Rule::Needs(..) => "needs",
        }
    }
}

/// A problem, checked: everything in it is consistent, finite and resolved.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// What this oil is, in the formulator's words.
    pub title: String,
    /// The shelves' currency; empty where none states one.
    pub currency: String,
    /// The components of every shelf, in file order.
    pub components: Vec<Component>,
    /// The effective treat band of each component: the shelf's, narrowed by the problem and by stock.
    ///
    /// Only a stock can leave a maximum below its minimum or its if-used minimum: that is no fault
    /// of the file but an answer, for the search to give.
    pub bands: Vec<Band>,
    /// How viscosities, polymers and ash mix.
    pub mixing: Mixing,
    /// What to minimise or maximise.
    pub goal: Goal,
    /// Batch size in kg, where stated.
    pub batch: Option<f64>,
    /// How far each pour may be off, one standard deviation in kg, where stated; else pours count as
    /// exact. Only where there is a batch.
    pub balance: Option<f64>,
    /// The grade asked for, as written, where one is.
    pub grade: Option<String>,
    /// The published classes asked for.
    pub classes: Vec<String>,
    /// Every limit: the problem's, the grade's, the classes'.
    pub limits: Vec<Limit>,
    /// Recipe logic, `if-used` minima excepted: those are in `bands`.
    pub rules: Vec<Rule>,
    /// Declared properties.
    pub properties: Vec<UserProperty>,
    /// Declared sums of treat rates.
    pub groups: Vec<TreatGroup>,
    /// The recipe from which change is measured, where the goal is to change least: one share for
    /// each component.
    pub known: Option<Vec<Share>>,
}

impl Problem {
    /// The index of a component.
    #[must_use]
    pub fn component(&self, id: &str) -> Option<usize> {
        self.components.iter().position(|c| c.id == id)
    }

    /// The unit of a property's values in this problem.
    #[must_use]
    pub fn unit(&self, property: &Property) -> Unit {
        let declared = match property {
            Property::User(name) => self.user(name).map(|p| &p.unit),
            _ => None,
        };
        property.unit(&self.currency, declared)
    }

    /// The unit of a component's figure in this problem.
    #[must_use]
    pub fn figure_unit(&self, datum: &Datum) -> Unit {
        match datum {
            Datum::Price => self.unit(&Property::Cost),
            Datum::Stock => Unit::named("kg"),
            Datum::Density => Unit::KG_PER_L,
            Datum::Kv40 | Datum::Kv100 => Unit::MM2_PER_S,
            Datum::Ccs(_) | Datum::Mrv(_) => Unit::MPA_S,
            Datum::Noack | Datum::Ash => Unit::PERCENT,
            Datum::Element(_) => Unit::PPM,
            Datum::BaseNumber | Datum::AcidNumber => Unit::MG_KOH_PER_G,
            Datum::AnilinePoint | Datum::Flash => Unit::CELSIUS,
            Datum::IrBaseline => Unit::ABSORBANCE_PER_CM,
            Datum::User(name) => self.unit(&Property::User(name.clone())),
        }
    }

    /// A declared property.
    #[must_use]
    pub fn user(&self, name: &str) -> Option<&UserProperty> {
        self.properties.iter().find(|p| p.name == name)
    }

    /// A declared group.
    #[must_use]
    pub fn group(&self, name: &str) -> Option<&TreatGroup> {
        self.groups.iter().find(|g| g.name == name)
    }

    /// Whether any component that may be used carries a polymer.
    #[must_use]
    pub fn has_polymer(&self) -> bool {
        self.components
            .iter()
            .zip(&self.bands)
            .any(|(c, band)| c.polymer.is_some() && band.max.share > Share::NONE)
    }

    /// Takes another batch, in kg above 0: every band is held to what its stock allows in it.
    pub fn take_batch(&mut self, kilograms: f64) {
        self.batch = Some(kilograms);
        for (component, band) in self.components.iter().zip(&mut self.bands) {
            if let Some(stock) = component.figure(&Datum::Stock) {
                band.hold(stock, kilograms);
            }
        }
    }

    /// Whether a component states a figure, or asks for it to be estimated.
    #[must_use]
    pub fn states(&self, component: usize, datum: &Datum) -> bool {
        self.components[component].figures.contains_key(datum)
    }
}
