#include "steel/temper_colour.hpp"

#include "optics_text.hpp"
#include "records/document.hpp"
#include "units/math.hpp"
#include "units/temperature.hpp"

#include <algorithm>
#include <cmath>
#include <complex>
#include <cstddef>
#include <cstdio>
#include <numbers>

namespace tq::steel {

namespace {

using Complex = std::complex<double>;

/// Index n + i k over the wavelength [nm].
struct Material {
  std::vector<double> nm, n, k;

  Complex index(double at_nm) const {
    const auto above = std::upper_bound(nm.begin(), nm.end(), at_nm);
    const auto last = static_cast<std::ptrdiff_t>(nm.size()) - 1;
    const auto i =
        static_cast<std::size_t>(std::clamp<std::ptrdiff_t>(above - nm.begin(), std::ptrdiff_t{1}, last));
    const double w = std::clamp((at_nm - nm[i - 1]) / (nm[i] - nm[i - 1]), 0.0, 1.0);
    return {n[i - 1] + w * (n[i] - n[i - 1]), k[i - 1] + w * (k[i] - k[i - 1])};
  }
};

Material read_material(const records::Node& root, const char* key) {
  const records::Node at = root.table(key);
  Material m{at.numbers("wavelength_nm", {100, 5000, true}), at.numbers("n", {0, 10, true}),
             at.numbers("k", {0, 20, true})};
  if (m.nm.size() < 2 || m.n.size() != m.nm.size() || m.k.size() != m.nm.size())
    at.fail("wavelength_nm", "must have two or more values, as many as n and k");
  return m;
}

struct Optics {
  Material iron, magnetite;
};

/// materials/optics.toml as it was when the program was built; read once.
const Optics& optics() {
  static const Optics read = [] {
    const records::Node root = records::parse_document(optics_text, "materials/optics.toml");
    return Optics{read_material(root, "iron"), read_material(root, "magnetite")};
  }();
  return read;
}

// CIE standard illuminant D65, 380-780 nm in steps of 10 nm (from memory; its white point is tested).
constexpr double first_nm = 380.0, step_nm = 10.0;
constexpr std::array<double, 41> daylight = {
    49.98,  54.65,  82.75,  91.49,  93.43,  86.68,  104.86, 117.01, 117.81, 114.86, 115.92,
    108.81, 109.35, 107.80, 104.79, 107.69, 104.41, 104.05, 100.00, 96.33,  95.79,  88.69,
    90.01,  89.60,  87.70,  83.29,  83.70,  80.03,  80.21,  82.28,  78.28,  69.72,  71.61,
    74.35,  61.60,  69.89,  75.09,  63.59,  46.42,  66.81,  63.38};

double lobe(double nm, double middle, double below, double above) {
  const double z = (nm - middle) / (nm < middle ? below : above);
  return math::exp(-0.5 * z * z);
}

/// Colour matching functions, Wyman, Sloan & Shirley 2013 (multi-lobe fit).
std::array<double, 3> matching(double nm) {
  return {1.056 * lobe(nm, 599.8, 37.9, 31.0) + 0.362 * lobe(nm, 442.0, 16.0, 26.7) -
              0.065 * lobe(nm, 501.1, 20.4, 26.2),
          0.821 * lobe(nm, 568.8, 46.9, 40.5) + 0.286 * lobe(nm, 530.9, 16.3, 31.1),
          1.217 * lobe(nm, 437.0, 11.8, 36.0) + 0.681 * lobe(nm, 459.0, 26.0, 13.8)};
}

/// Tristimulus sums of the daylight reflected by R(nm), not yet scaled.
template <class R>
std::array<double, 3> tristimulus(R reflectance) {
  std::array<double, 3> sum{};
  for (std::size_t i = 0; i < daylight.size(); ++i) {
    const double nm = first_nm + step_nm * static_cast<double>(i);
    const std::array<double, 3> eye = matching(nm);
    for (std::size_t c = 0; c < 3; ++c)
      sum[c] += daylight[i] * reflectance(nm) * eye[c];
  }
  return sum;
}

const std::array<double, 3>& white() {
  static const std::array<double, 3> sum = tristimulus([](double) { return 1.0; });
  return sum;
}

std::array<double, 3> lab_of(const std::array<double, 3>& xyz) {
  const auto f = [](double t) {
    return t > 216.0 / 24389.0 ? math::cbrt(t) : (24389.0 / 27.0 * t + 16.0) / 116.0;
  };
  std::array<double, 3> v{};
  for (std::size_t c = 0; c < 3; ++c)
    v[c] = f(xyz[c] / (white()[c] / white()[1]));
  return {116.0 * v[1] - 16.0, 500.0 * (v[0] - v[1]), 200.0 * (v[1] - v[2])};
}

std::array<int, 3> srgb_of(const std::array<double, 3>& xyz) {
  constexpr double m[3][3] = {
      {3.2406, -1.5372, -0.4986}, {-0.9689, 1.8758, 0.0415}, {0.0557, -0.2040, 1.0570}};
  std::array<int, 3> out{};
  for (std::size_t c = 0; c < 3; ++c) {
    const double linear = std::clamp(m[c][0] * xyz[0] + m[c][1] * xyz[1] + m[c][2] * xyz[2], 0.0, 1.0);
    const double coded = linear <= 0.0031308 ? 12.92 * linear : 1.055 * math::pow(linear, 1.0 / 2.4) - 0.055;
    out[c] = static_cast<int>(std::lround(255.0 * coded));
  }
  return out;
}

/// The limits lie where the computed colours change most; they are not fitted to any temperature.
const char* name_of(const std::array<double, 3>& lab) {
  const double chroma = math::hypot(lab[1], lab[2]);
  double hue = math::atan2(lab[2], lab[1]) * 180.0 / std::numbers::pi;
  if (hue < 0.0)
    hue += 360.0;
  if (hue >= 60.0 && hue < 125.0) {
    if (chroma < 8.0)
      return "bright";
    if (chroma < 20.0)
      return "faint straw";
    return chroma < 34.0 && hue > 80.0 ? "straw" : "dark straw";
  }
  if (hue < 60.0 || hue >= 345.0)
    return "brown";
  if (hue >= 305.0)
    return "purple";
  if (lab[0] < 24.0)
    return "dark blue";
  if (lab[0] < 47.0)
    return "blue";
  return chroma > 17.0 ? "light blue" : "grey";
}

constexpr double second_order_m = 95e-9; ///< thicker films go round the colours again; seen as grey

} // namespace

double oxide_rate(double T_degC) {
  constexpr double fitted_at_degC = 250.0;
  return oxide_rate_250_m4_s * math::exp(oxide_activation_J_mol / gas_constant_J_molK *
                                         (1.0 / kelvin(fitted_at_degC) - 1.0 / kelvin(T_degC)));
}

double oxide_over(const std::vector<HistoryPoint>& history, double before_m) {
  constexpr double step_K = 1.0;
  double fourth_power = before_m * before_m * before_m * before_m;
  for (std::size_t i = 1; i < history.size(); ++i) {
    const HistoryPoint &a = history[i - 1], &b = history[i];
    const double dt = b.time_s - a.time_s, rise = b.T_degC - a.T_degC;
    if (!(dt > 0.0))
      continue;
    const int n = static_cast<int>(std::clamp(std::ceil(std::abs(rise) / step_K), 1.0, 100000.0));
    for (int k = 0; k < n; ++k)
      fourth_power += oxide_rate(a.T_degC + rise * (k + 0.5) / n) * dt / n;
  }
  return std::sqrt(std::sqrt(fourth_power));
}

double oxide_reflectance(double oxide_m, double wavelength_m) {
  const double nm = 1e9 * wavelength_m;
  const Complex oxide = optics().magnetite.index(nm), metal = optics().iron.index(nm);
  const Complex outer = (1.0 - oxide) / (1.0 + oxide), inner = (oxide - metal) / (oxide + metal);
  const Complex there_and_back =
      std::exp(Complex(0.0, 4.0 * std::numbers::pi * oxide_m / wavelength_m) * oxide);
  return std::norm((outer + inner * there_and_back) / (1.0 + outer * inner * there_and_back));
}

std::string Colour::hex() const {
  char text[8];
  std::snprintf(text, sizeof text, "#%02X%02X%02X", static_cast<unsigned>(srgb[0]) & 255U,
                static_cast<unsigned>(srgb[1]) & 255U, static_cast<unsigned>(srgb[2]) & 255U);
  return text;
}

Colour oxide_colour(double oxide_m) {
  Colour colour;
  colour.xyz = tristimulus([&](double nm) { return oxide_reflectance(oxide_m, 1e-9 * nm); });
  const double scale = white()[1];
  for (double& value : colour.xyz)
    value /= scale;
  colour.lab = lab_of(colour.xyz);
  colour.srgb = srgb_of(colour.xyz);
  colour.name = oxide_m > second_order_m ? "grey" : name_of(colour.lab);
  return colour;
}

ColourHint colour_over(const std::vector<HistoryPoint>& history) {
  const auto shifted = [&](double by_K) {
    std::vector<HistoryPoint> out = history;
    for (HistoryPoint& p : out)
      p.T_degC += by_K;
    return oxide_over(out);
  };
  ColourHint hint;
  hint.oxide_m = oxide_over(history);
  hint.colour = oxide_colour(hint.oxide_m);
  hint.from = oxide_colour(shifted(-colour_doubt_K)).name;
  hint.to = oxide_colour(shifted(colour_doubt_K)).name;
  return hint;
}

} // namespace tq::steel
