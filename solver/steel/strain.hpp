// Length, stiffness and yielding of a mixture of constituents, from the shared strain record.
#pragma once

#include "records/strain_record.hpp"

namespace tq::steel {

/// Shares at one place, 0..1, sum 1; `carbon_wt` is that of the austenite (or of the martensite from it).
/// `rest` is what takes no part in the quench: ferrite with its carbide, undissolved carbide.
struct StrainShares {
  double austenite = 0, martensite = 0, bainite = 0, pearlite = 0, rest = 0;
  double carbon_wt = 0;
};

/// The growth of volume [0..1] at 20 degC when austenite with `carbon_wt` turns to martensite ...
double martensite_volume_change(const records::StrainRecord& r, double carbon_wt);
/// ... to lower bainite ...
double bainite_volume_change(const records::StrainRecord& r, double carbon_wt);
/// ... to ferrite with cementite.
double pearlite_volume_change(const records::StrainRecord& r, double carbon_wt);

/// Linear strain without stress at T [degC], against austenite of the same carbon at 20 degC: the shares'
/// strains added by the rule of mixtures, growth of a length a third of that of the volume.
double free_strain(const records::StrainRecord& r, const StrainShares& s, double T);
/// Young's modulus [Pa] at T [degC], rule of mixtures.
double youngs_modulus(const records::StrainRecord& r, const StrainShares& s, double T);
/// Yield stress [Pa] at T [degC], rule of mixtures.
double yield_stress(const records::StrainRecord& r, const StrainShares& s, double T);

} // namespace tq::steel
