// Hardness of tempered martensite from composition alone, for steels without a tempering curve. The
// coefficients stand in materials/temper_model.toml with their source; scripts/fit_temper_model makes them.
#pragma once

#include "records/steel_record.hpp"

#include <array>
#include <string>
#include <string_view>
#include <vector>

namespace tq::steel {

struct TemperModel {
  /// Elements with a term of their own, in the order of `alloy`.
  static constexpr std::array<double records::Composition::*, 5> elements = {
      &records::Composition::Mn, &records::Composition::Si, &records::Composition::Ni,
      &records::Composition::Cr, &records::Composition::Mo};

  /// Least and most of what the model was fitted to.
  struct Span {
    double least = 0, most = 0;
    bool holds(double value) const { return value >= least && value <= most; }
  };
  struct ElementSpan {
    const char* symbol;
    double records::Composition::*share;
    Span span;
    double beyond_HRC = 0; ///< standard deviation [HRC] per wt% beyond the span
  };

  double constant_h = 0, constant_per_carbon = 0; ///< Hollomon-Jaffe constant for hours: sum with C
  double middle_degC = 0, scale_K = 1;            ///< x = (T1 - middle) / scale
  double carbon_saturation = 1, carbon_end = 0;   ///< hardness goes with tanh(min(C, end) / saturation)
  double onset_degC = 0, onset_width_K = 1;       ///< where alloy begins to act
  std::array<double, 4> base{}, carbon{};         ///< HRC, coefficients of 1, x, x^2, x^3
  std::array<std::array<double, 2>, 5> alloy{};   ///< HRC per wt%, coefficients of 1, x
  std::vector<ElementSpan> composition_span;
  Span temperature_span, time_span;
  /// Standard deviation of the answer [HRC]: these as root of the sum of squares, and what lies beyond a
  /// span.
  double band_base_HRC = 0;
  double band_hot_HRC = 0, band_hot_from_degC = 0;        ///< per 100 K of the one-hour temper above
  double band_low_carbon_HRC = 0, band_low_carbon_wt = 0; ///< per wt% of carbon below
  double band_per_decade_HRC = 0, band_per_100_K_HRC = 0; ///< beyond the times and temperatures of the fit
  double error_knives_HRC = 0;    ///< rms of left-out plain steels, 0.6 %C and more, in the window of knives
  double error_elsewhere_HRC = 0; ///< rms of the other left-out steels
  double error_flagged_HRC = 0;   ///< rms where the fit does not vouch for itself
  std::vector<records::Provenance> provenance;
};

/// Reads materials/temper_model.toml. Throws records::InputError.
TemperModel read_temper_model(std::string_view text, std::string file);

struct TemperEstimate {
  double hardness_HRC = 0, hardness_HV = 0;
  double band_HRC = 0;              ///< plus or minus, holds nine in ten steels left out of the fit
  std::vector<std::string> outside; ///< what lies outside the fit's range; empty when nothing does
};

/// Hollomon-Jaffe constant for hours of a steel with this carbon.
double temper_constant(const TemperModel& model, double carbon_wt);
/// Hardness after `time_s` at T_degC of a steel hardened through. Longer or hotter never gives more: where
/// the polynomials would rise, the greatest value further on stands.
TemperEstimate tempered_hardness(const TemperModel& model, const records::Composition& wt, double T_degC,
                                 double time_s);
/// The model as a tempering curve for one hour, 100-650 degC, for the code that wants one.
records::TemperCurve temper_curve(const TemperModel& model, const records::Composition& wt);
/// Fills what comes behind the table of `curve`, up to 700 degC for its hold: the model, moved to meet the
/// last point, the move dying away over 100 K (assumption, no source), and its band growing from the table's
/// to the model's over the same distance. Never rising.
void beyond_table(const TemperModel& model, const records::Composition& wt, records::TemperCurve& curve);

} // namespace tq::steel
