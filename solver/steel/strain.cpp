#include "steel/strain.hpp"

namespace tq::steel {

namespace {

constexpr double reference_degC = 20;

} // namespace

double martensite_volume_change(const records::StrainRecord& r, double carbon_wt) {
  return r.volume_at_no_carbon + r.volume_martensite_per_carbon * carbon_wt;
}

double bainite_volume_change(const records::StrainRecord& r, double carbon_wt) {
  return r.volume_at_no_carbon + r.volume_bainite_per_carbon * carbon_wt;
}

double pearlite_volume_change(const records::StrainRecord& r, double carbon_wt) {
  return r.volume_at_no_carbon + r.volume_pearlite_per_carbon * carbon_wt;
}

double free_strain(const records::StrainRecord& r, const StrainShares& s, double T) {
  const double growth = s.martensite * martensite_volume_change(r, s.carbon_wt) +
                        s.bainite * bainite_volume_change(r, s.carbon_wt) +
                        (s.pearlite + s.rest) * pearlite_volume_change(r, s.carbon_wt);
  const double expansion =
      s.austenite * r.expansion_austenite_per_K + (1 - s.austenite) * r.expansion_product_per_K(T);
  return growth / 3 + expansion * (T - reference_degC);
}

double youngs_modulus(const records::StrainRecord& r, const StrainShares& s, double T) {
  return s.austenite * r.modulus_austenite_Pa(T) + (1 - s.austenite) * r.modulus_product_Pa(T);
}

double yield_stress(const records::StrainRecord& r, const StrainShares& s, double T) {
  return s.austenite * r.yield_austenite_Pa(T) + s.martensite * r.yield_martensite_Pa(T) +
         s.bainite * r.yield_bainite_Pa(T) + (s.pearlite + s.rest) * r.yield_pearlite_Pa(T);
}

} // namespace tq::steel
