// What austenite turns to on cooling: when pearlite and bainite start, how they go on, and how hard the
// product is. Temperatures in degC, composition in wt%, times in s.
#pragma once

#include "records/steel_record.hpp"

#include <memory>
#include <optional>

namespace tq::steel {

enum class Product { pearlite, bainite };

/// A law of decomposition, for one steel with a reference carbon in solution. Each product has a clock, the
/// Scheil sum of its 1 % start: it runs at start_rate(T) and 1 % has turned when it reads 1. The share turned
/// follows from the clock alone (isokinetic, so Scheil additivity is exact).
/// Another law is another class of this kind, in a file pair of its own, made by decomposition_law().
class DecompositionLaw {
 public:
  virtual ~DecompositionLaw() = default;
  /// Rate of the clock [1/s]: one over the time to 1 % at T. 0 where the product does not form.
  virtual double start_rate(Product product, double T) const = 0;
  /// Share turned when the clock reads `clock`, as if the product were alone: 0 at 0, 0.01 at 1.
  virtual double fraction(Product product, double clock) const = 0;
  /// Inverse of fraction(), 0 <= share < 1.
  virtual double clock_at(Product product, double share) const = 0;
  /// Factor on the rate for another carbon in solution.
  virtual double carbon_factor(Product product, double carbon_wt) const = 0;
  /// Factor on the rate for another grain of the austenite (ASTM number) than the record's.
  virtual double grain_factor(Product product, double grain_number) const = 0;
  /// Hardness [HV] of the product that forms at T.
  virtual double hardness_HV(Product product, double T) const = 0;
  virtual double ae1() const = 0;
  virtual double bs() const = 0;
  virtual double ms() const = 0;

  double pearlite_rate(double T) const { return start_rate(Product::pearlite, T); }
  double bainite_rate(double T) const { return start_rate(Product::bainite, T); }
};

/// The law that the program uses.
std::unique_ptr<const DecompositionLaw> decomposition_law(const records::SteelRecord& steel,
                                                          double reference_carbon_wt);

/// Bainite start [degC]. van Bohemen 2012, Mater. Sci. Technol. 28, 487-495 (from memory). Against the 13
/// rows of 0.55 to 1.02 %C in the open compilation of Schuscha et al. 2025, Acta Mater., 121131: bias -3 K,
/// rms 13 K (the formula of Li 1998: +49 and 65 K). Vanadium and tungsten are not in it.
double bainite_start(const records::Composition& wt, double carbon_wt);

/// How many times as long alloy puts off the start of pearlite at its nose in the law of Li et al. 1998: by
/// its part of ln F and by moving Ae1 (ae1_grange()).
double li_pearlite_delay(const records::Composition& in_solution);

/// The law in use, with the record's factors on the times and its grain unless another is given.
///
/// Start of pearlite: Li, Niebuhr, Meekisho & Atteridge 1998, Metall. Mater. Trans. B 29, 661-672; for his
/// exp(4.12 C), made for up to 0.5 %C, exp(1.35 C), his at 0.79 %C: ASTM A255's diameter, squared.
///
/// Start of bainite: 1/t = 2^(0.29 G) (Bs - T)^3 exp(-Q/RT) / (K F), F = (2.34 + 10.1 C) exp(0.85 Mn +
/// 0.55 Ni + 0.36 Mo): carbon as in Kirkaldy & Venugopalan 1984 (in Phase Transformations in Ferrous Alloys,
/// AIME, 125-148), grain, Mn, Ni, Mo as in Li 1998; chromium acts by Bs alone. Fitted here:
/// the power 3, Q = 102 kJ/mol and K, to the 1 % line of 100Cr6 at 240-440 degC (Kaymak 2007, dissertation,
/// Magdeburg, as digitised in an open repository; its austenitising is not stated, the usual one of record
/// 52100 is taken): 21 points within 25 %, 10 % rms.
///
/// Progress: Avrami's law X = 1 - 0.99^(clock^n), with the exponents of `phases` (Avrami 1939, J. Chem. Phys.
/// 7, 1103; the exponent alone sets the ratio of the times to 99 and 1 %, 458^(1/n)).
///
/// Hardness of pearlite: the record's below Ae1 - 115 K, above softer by 26.5 HV per root of a kelvin of the
/// undercooling (hardness with the inverse root of the spacing, Hyzak & Bernstein 1976, Metall. Trans. A 7,
/// 1217; spacing inverse to the undercooling, Zener 1946, Trans. AIME 167, 550); the two figures fitted here
/// to 1080 transformed isothermally, 15 HRC at 700, 32 at 650, 40-41 at 540-600 degC (from memory). Of
/// bainite: the record's at 350 degC, 1.13 HV softer per kelvin above and harder below (54-58 HRC at 300,
/// 42-44 at 455-490 degC, from memory).
class Decomposition final : public DecompositionLaw {
 public:
  Decomposition(const records::SteelRecord& steel, double reference_carbon_wt,
                std::optional<double> grain_number = {});
  /// Active between Ms and Ae1 (pearlite) or Bs (bainite).
  double start_rate(Product product, double T) const override;
  double fraction(Product product, double clock) const override;
  double clock_at(Product product, double share) const override;
  /// Pearlite: exp(-1.35 dC) (ASTM A255). Bainite: the F above, and Bs that moves (at the nose, 125 K below
  /// Bs).
  double carbon_factor(Product product, double carbon_wt) const override;
  /// 2^(0.32 dG) and 2^(0.29 dG) (Li 1998).
  double grain_factor(Product product, double grain_number) const override;
  double hardness_HV(Product product, double T) const override;
  double ae1() const override { return ae1_; }
  double bs() const override { return bs_; }
  double ms() const override { return ms_; }

 private:
  double exponent(Product product) const {
    return product == Product::pearlite ? pearlite_exponent_ : bainite_exponent_;
  }

  double carbon_, grain_, ae1_, bs_, ms_, pearlite_scale_ = 0, bainite_scale_ = 0, pearlite_exponent_,
                                          bainite_exponent_, fine_pearlite_HV_, bainite_HV_;
};

} // namespace tq::steel
