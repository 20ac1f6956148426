//! A component on the shelf: what it is, what was measured of it, how much of it may go in.

use crate::declare::property::Datum;
use crate::fault::Place;
use crate::quantity::Share;
use std::collections::BTreeMap;

/// What a component is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// A base stock.
    BaseStock,
    /// A polymer concentrate that widens the span between hot and cold.
    ViscosityModifier,
    /// A detergent–inhibitor package.
    AdditivePackage,
    /// A single additive on top of a package: molybdenum, phosphorus, base.
    Booster,
    /// A pour-point depressant.
    PourDepressant,
    /// Anything else.
    Other,
}

impl Kind {
    /// Every kind.
    pub const ALL: [Kind; 6] = [
        Kind::BaseStock,
        Kind::ViscosityModifier,
        Kind::AdditivePackage,
        Kind::Booster,
        Kind::PourDepressant,
        Kind::Other,
    ];

    /// The word in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Kind::BaseStock => "base-stock",
            Kind::ViscosityModifier => "viscosity-modifier",
            Kind::AdditivePackage => "additive-package",
            Kind::Booster => "booster",
            Kind::PourDepressant => "pour-depressant",
            Kind::Other => "other",
        }
    }
}

/// API base-stock group (API 1509, appendix E).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Group {
    /// Solvent-refined mineral oil.
    I,
    /// Hydroprocessed mineral oil.
    II,
    /// Severely hydroprocessed or gas-to-liquid oil.
    III,
    /// Polyalphaolefin.
    IV,
    /// Everything else: esters, alkylated naphthalenes.
    V,
}

impl Group {
    /// Every group.
    pub const ALL: [Group; 5] = [Group::I, Group::II, Group::III, Group::IV, Group::V];

    /// The numeral in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Group::I => "I",
            Group::II => "II",
            Group::III => "III",
            Group::IV => "IV",
            Group::V => "V",
        }
    }
}

/// Where a figure came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Origin {
    /// The supplier's certificate for this lot.
    Certificate,
    /// The formulator's own measurement.
    Measured,
    /// A typical value from a data sheet.
    Typical,
    /// A guess, or derived by a stated rule: marked in every answer.
    Estimated,
}

impl Origin {
    /// Every origin.
    pub const ALL: [Origin; 4] = [
        Origin::Certificate,
        Origin::Measured,
        Origin::Typical,
        Origin::Estimated,
    ];

    /// The word in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Origin::Certificate => "certificate",
            Origin::Measured => "measured",
            Origin::Typical => "typical",
            Origin::Estimated => "estimated",
        }
    }
}

/// A number with its uncertainty and where it came from.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// The value, in its datum's unit; always finite.
    pub value: f64,
    /// Standard deviation in the same unit, where the file states one; finite and not negative.
    pub sd: Option<f64>,
    /// Where it came from, where the file says so.
    pub from: Option<Origin>,
    /// For an effective blending value backed out of a dilution: the treat rate it was found at.
    pub found_at: Option<Share>,
    /// Where the file says it.
    pub place: Place,
}

/// What a shelf says of one figure of a component.
#[derive(Debug, Clone, PartialEq)]
pub enum Entry {
    /// A number.
    Stated(Figure),
    /// The word `"estimated"`: derive it by the stated rule, and mark it.
    Estimate(Place),
}

impl Entry {
    /// The number, where one is stated.
    #[must_use]
    pub fn figure(&self) -> Option<&Figure> {
        match self {
            Entry::Stated(figure) => Some(figure),
            Entry::Estimate(_) => None,
        }
    }
}

/// The polymer of a viscosity modifier. Its concentrate's other figures describe the diluent oil.
#[derive(Debug, Clone, PartialEq)]
pub struct Polymer {
    /// Mass fraction of dry polymer in the concentrate, 0 to 1.
    pub solids: Figure,
    /// Intrinsic viscosity at 40 °C, dL/g.
    pub iv40: Figure,
    /// Intrinsic viscosity at 100 °C, dL/g.
    pub iv100: Figure,
    /// Intrinsic viscosity at 150 °C, dL/g.
    pub iv150: Figure,
    /// Constant of the thickening law (Martin or Huggins), dimensionless.
    pub k: Figure,
    /// Temporary loss of thickening at 1e6 1/s and 150 °C, fraction 0 to 1.
    pub hths_loss: Figure,
    /// Shear stability index of the diesel-injector test (ASTM D6278, ASTM D6022), %.
    pub ssi: Figure,
    /// Shear stability index of the 20 h tapered-roller-bearing test, %.
    pub ssi_krl: Option<Figure>,
    /// Relative rise of cold-cranking viscosity per g/dL of polymer.
    pub ccs_thickening: Figure,
    /// Relative rise of cold-pumping viscosity per g/dL of polymer.
    pub mrv_thickening: Option<Figure>,
    /// The measured thickenings that `iv40`, `iv100` and `iv150` were fitted to, where they were: another
    /// `k` asks for another fit.
    pub fitted: [Option<Thickened>; 3],
}

/// A measured thickening: what an intrinsic viscosity is fitted to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thickened {
    /// Viscosity with polymer over that without, above 1.
    pub ratio: f64,
    /// Concentration of dry polymer, g/dL, above 0.
    pub concentration: f64,
}

impl Polymer {
    /// Every figure it states.
    #[must_use]
    pub fn figures(&self) -> Vec<&Figure> {
        [
            &self.solids,
            &self.iv40,
            &self.iv100,
            &self.iv150,
            &self.k,
            &self.hths_loss,
            &self.ssi,
            &self.ccs_thickening,
        ]
        .into_iter()
        .chain(&self.ssi_krl)
        .chain(&self.mrv_thickening)
        .collect()
    }

    /// The shelf's keys of the figures that every polymer states, in the order of [`Polymer::figures`].
    pub const KEYS: [&'static str; 8] = [
        "solids",
        "iv40",
        "iv100",
        "iv150",
        "k",
        "hths-loss",
        "ssi",
        "ccs-thickening",
    ];

    /// The shelf's keys of its figures, in the order of [`Polymer::figures`].
    #[must_use]
    pub fn keys(&self) -> Vec<&'static str> {
        Self::KEYS
            .into_iter()
            .chain(self.ssi_krl.as_ref().map(|_| "ssi-krl"))
            .chain(self.mrv_thickening.as_ref().map(|_| "mrv-thickening"))
            .collect()
    }

    /// The same, to change.
    pub fn figures_mut(&mut self) -> Vec<&mut Figure> {
        [
            &mut self.solids,
            &mut self.iv40,
            &mut self.iv100,
            &mut self.iv150,
            &mut self.k,
            &mut self.hths_loss,
            &mut self.ssi,
            &mut self.ccs_thickening,
        ]
        .into_iter()
        .chain(&mut self.ssi_krl)
        .chain(&mut self.mrv_thickening)
        .collect()
    }
}

/// Who set an edge of a treat band.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum EdgeSource {
    /// Nobody: 0 % and 100 % are natural.
    Natural,
    /// The supplier's band on the shelf.
    Shelf,
    /// The problem's `[treat]` table.
    Problem,
    /// Stock divided by batch.
    Stock,
}

/// One edge of a treat band.
#[derive(Debug, Clone, PartialEq)]
pub struct Edge {
    /// The treat rate.
    pub share: Share,
    /// Who set it.
    pub source: EdgeSource,
    /// Where the file says so, if one does.
    pub place: Option<Place>,
}

/// The treat rates that a component may have.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// Lowest treat rate.
    pub min: Edge,
    /// Highest treat rate.
    pub max: Edge,
    /// A minimum that binds only when the component is used at all.
    pub if_used: Option<Edge>,
    /// Where a stock lowered `max`: what it was before.
    pub without_stock: Option<Edge>,
}

impl Band {
    /// 0 % to 100 %.
    #[must_use]
    pub fn natural() -> Self {
        let edge = |share| Edge {
            share,
            source: EdgeSource::Natural,
            place: None,
        };
        Band {
            min: edge(Share::NONE),
            max: edge(Share::WHOLE),
            if_used: None,
            without_stock: None,
        }
    }

    /// Holds the band to what a stock allows in a batch, kg above 0; a batch before this one no longer
    /// counts.
    pub fn hold(&mut self, stock: &Figure, batch: f64) {
        if let Some(max) = self.without_stock.take() {
            self.max = max;
        }
        let share = Share::from_fraction(stock.value / batch);
        if share < self.max.share {
            let edge = Edge {
                share,
                source: EdgeSource::Stock,
                place: Some(stock.place.clone()),
            };
            self.without_stock = Some(std::mem::replace(&mut self.max, edge));
        }
    }
}

/// A component.
#[derive(Debug, Clone, PartialEq)]
pub struct Component {
    /// Stable key, kebab-case, unique over all shelves of a problem.
    pub id: String,
    /// Generic trade term.
    pub name: String,
    /// What it is for.
    pub kind: Kind,
    /// API group, base stocks only.
    pub group: Option<Group>,
    /// Whether it counts towards the polar base-stock share.
    pub polar: bool,
    /// What was measured of it.
    pub figures: BTreeMap<Datum, Entry>,
    /// Its polymer, viscosity modifiers only.
    pub polymer: Option<Polymer>,
    /// The supplier's treat band.
    pub treat: Band,
    /// Where the shelf says its `id`.
    pub place: Place,
}

impl Component {
    /// The stated figure of a datum.
    #[must_use]
    pub fn figure(&self, datum: &Datum) -> Option<&Figure> {
        self.figures.get(datum).and_then(Entry::figure)
    }
}
