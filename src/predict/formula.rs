//! Property models as closed formulas over a few blend totals.
//!
//! One generic body gives the value, the exact slope and the exact curvature (by dual numbers).

use crate::declare::problem::ThickeningLaw;
use crate::predict::link::Link;
use crate::predict::total::WIDTH;
use crate::quantity::Celsius;
use crate::standard::viscosity_index;
use nalgebra::SMatrix;
use nalgebra::SVector;
use num_dual::DualNum;

/// Change of an oil's density with temperature, g/mL per °C (ρ(t) = ρ15 − 0.00065 (t − 15);
/// literature value for mineral and synthetic oils).
pub const DENSITY_PER_CELSIUS: f64 = -0.000_65;

/// Temperature at which densities are stated, °C.
const DENSITY_REFERENCE: f64 = 15.0;

/// Density at a temperature from the density at 15 °C, g/mL.
#[must_use]
pub fn density_at<D: DualNum<Primitive = f64> + Copy>(density15: D, at: Celsius) -> D {
    density15 + DENSITY_PER_CELSIUS * (at.degrees() - DENSITY_REFERENCE)
}

/// A closed formula over blend totals; each variant lists the totals it takes, in order.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Formula {
    /// `[sum]`: the sum itself.
    Sum,
    /// `[numerator, denominator]`: the link of their quotient.
    Quotient(Link),
    /// `[index, weight, volume, kept thickening, crowding]`: kinematic viscosity of a thickened fluid.
    ///
    /// ```text
    /// ν = ν_base · (1 + s_kept · g(K s)),   s = [η] c = total · ρ(T)
    /// g = exp(K s) (Martin) or 1 + K s (Huggins)
    /// ```
    ///
    /// With `s_kept = s` it is the fresh oil; with each polymer's share times (1 − SSI/100) it is
    /// ν − Σ SSI/100 · (the polymer's contribution), the oil after permanent shear (ASTM D6022).
    Thickened {
        /// Link of the base fluid's index.
        link: Link,
        /// Thickening law.
        law: ThickeningLaw,
        /// Temperature.
        at: Celsius,
    },
    /// The same totals: dynamic viscosity, i.e. the above times ρ(T). With the part of the
    /// thickening that temporary shear leaves it is the high-temperature high-shear viscosity:
    /// `η_base(150) · [1 + Σ (1 − p) s · g(K s)]`.
    Sheared {
        /// Link of the base fluid's index.
        link: Link,
        /// Thickening law.
        law: ThickeningLaw,
        /// Temperature.
        at: Celsius,
    },
    /// `[index, weight, volume]`: dynamic viscosity of a polymer-free fluid.
    Dynamic {
        /// Link of the fluid's index.
        link: Link,
        /// Temperature.
        at: Celsius,
    },
    /// `[index, weight, volume, thickening]`: exp(index/weight) · (1 + thickening · ρ(T)).
    ColdThickened {
        /// Test temperature.
        at: Celsius,
    },
    /// `[index 40, index 100, weight]`: viscosity index of a polymer-free fluid (ASTM D2270).
    Vi {
        /// Link of the fluid's index.
        link: Link,
    },
    /// `[index 40, index 100, weight, volume, thickening 40, crowding 40, thickening 100,
    /// crowding 100]`: viscosity index of a thickened fluid.
    ViThickened {
        /// Link of the base fluid's index.
        link: Link,
        /// Thickening law.
        law: ThickeningLaw,
    },
    /// `[Thiele index, flash index, volume]`: the lower of the two flash points.
    LowerFlash,
}

/// Thickening beyond this reduced product K·s is far outside any engine oil (K s ≈ 1 at most) and
/// would only overflow.
const MAX_CROWDING: f64 = 30.0;

const FORTY: Celsius = Celsius::whole(40);
const HUNDRED: Celsius = Celsius::whole(100);

fn thickening_ratio<D: DualNum<Primitive = f64> + Copy>(
    law: ThickeningLaw,
    density: D,
    kept: D,
    crowding: D,
) -> D {
    let s = kept * density;
    let ks = crowding * density;
    let g = match law {
        ThickeningLaw::Martin => ks.exp(),
        ThickeningLaw::Huggins => ks + 1.0,
    };
    s * g + 1.0
}

impl Formula {
    /// How many totals it takes.
    #[must_use]
    pub fn width(self) -> usize {
        match self {
            Formula::Sum => 1,
            Formula::Quotient(_) => 2,
            Formula::Dynamic { .. } | Formula::Vi { .. } | Formula::LowerFlash => 3,
            Formula::ColdThickened { .. } => 4,
            Formula::Thickened { .. } | Formula::Sheared { .. } => 5,
            Formula::ViThickened { .. } => 8,
        }
    }

    /// The value over dual numbers; `None` where the property is undefined.
    fn eval<D: DualNum<Primitive = f64> + Copy>(self, z: &[D]) -> Option<D> {
        let value = match (self, z) {
            (Formula::Sum, [sum, ..]) => *sum,
            (Formula::Quotient(link), [num, den, ..]) => link.value(*num / *den),
            (Formula::Thickened { link, law, at }, [index, weight, volume, kept, crowding, ..]) => {
                let density = density_at(volume.recip(), at);
                thin_enough(*crowding * density)?;
                link.value(*index / *weight) * thickening_ratio(law, density, *kept, *crowding)
            }
            (Formula::Sheared { link, law, at }, [index, weight, volume, kept, crowding, ..]) => {
                let density = density_at(volume.recip(), at);
                thin_enough(*crowding * density)?;
                link.value(*index / *weight)
                    * density
                    * thickening_ratio(law, density, *kept, *crowding)
            }
            (Formula::Dynamic { link, at }, [index, weight, volume, ..]) => {
                link.value(*index / *weight) * density_at(volume.recip(), at)
            }
            (Formula::ColdThickened { at }, [index, weight, volume, rise, ..]) => {
                (*index / *weight).exp() * (*rise * density_at(volume.recip(), at) + 1.0)
            }
            (Formula::Vi { link }, [i40, i100, weight, ..]) => viscosity_index::viscosity_index(
                link.value(*i40 / *weight),
                link.value(*i100 / *weight),
            )?,
            (
                Formula::ViThickened { link, law },
                [i40, i100, weight, volume, t40, c40, t100, c100],
            ) => {
                let (d40, d100) = (
                    density_at(volume.recip(), FORTY),
                    density_at(volume.recip(), HUNDRED),
                );
                thin_enough(*c40 * d40)?;
                thin_enough(*c100 * d100)?;
                viscosity_index::viscosity_index(
                    link.value(*i40 / *weight) * thickening_ratio(law, d40, *t40, *c40),
                    link.value(*i100 / *weight) * thickening_ratio(law, d100, *t100, *c100),
                )?
            }
            (Formula::LowerFlash, [thiele, index, volume, ..]) => {
                let by_thiele = Link::Thiele.value(*thiele / *volume);
                let by_index = Link::FlashIndex.value(*index / *volume);
                if by_thiele.re() <= by_index.re() {
                    by_thiele
                } else {
                    by_index
                }
            }
            _ => return None,
        };
        value.re().is_finite().then_some(value)
    }

    /// The value; `None` where the property is undefined or not finite.
    #[must_use]
    pub fn value(self, z: &[f64]) -> Option<f64> {
        self.eval(z)
    }

    /// The value and its exact partial derivative by each total.
    #[must_use]
    pub fn slope(self, z: &[f64]) -> Option<(f64, [f64; WIDTH])> {
        let n = self.width();
        let at = SVector::<f64, WIDTH>::from_fn(|i, _| z.get(i).copied().unwrap_or(0.0));
        let (value, slope) =
            num_dual::gradient(|v: SVector<_, WIDTH>| self.eval(&v.as_slice()[..n]), &at)?;
        slope
            .iter()
            .all(|g| g.is_finite())
            .then(|| (value, slope.into()))
    }

    /// The matrix of exact second derivatives by the totals.
    #[must_use]
    pub fn curvature(self, z: &[f64]) -> Option<SMatrix<f64, WIDTH, WIDTH>> {
        let n = self.width();
        let at = SVector::<f64, WIDTH>::from_fn(|i, _| z.get(i).copied().unwrap_or(0.0));
        let (_, _, curvature) =
            num_dual::hessian(|v: SVector<_, WIDTH>| self.eval(&v.as_slice()[..n]), &at)?;
        curvature.iter().all(|h| h.is_finite()).then_some(curvature)
    }
}

fn thin_enough<D: DualNum<Primitive = f64> + Copy>(crowding: D) -> Option<()> {
    (crowding.re() < MAX_CROWDING).then_some(())
}
