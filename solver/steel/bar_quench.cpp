#include "steel/bar_quench.hpp"

#include "steel/hardness.hpp"
#include "steel/transformation.hpp"
#include "steel/transforming_material.hpp"
#include "units/math.hpp"
#include "units/temperature.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace tq::steel {

namespace {

constexpr double water_degC = 24.0, room_degC = 22.0;
constexpr double bar_length_m = 0.1016, bar_thickness_m = 0.0254;
constexpr double jet_W_m2K = 20e3, air_W_m2K = 10.0, oxidised = 0.8, stefan_boltzmann = 5.670374e-8;

/// A row of cells, cooled by explicit steps of their enthalpy.
class Row {
 public:
  Row(const records::SteelRecord& steel, double hardening_degC, std::size_t cells)
      : T(cells, hardening_degC), k(cells), steel_(steel),
        material_(steel, records::StartState::spheroidised, cells), u_(cells), clock_(2 * cells),
        rate_(2 * cells), before_(cells), mean_(cells) {
    material_.austenitise(hardening_degC);
    for (std::size_t i = 0; i < cells; ++i)
      u_[i] = material_.enthalpy(i, hardening_degC);
    material_.begin(TransformMode::cooling, clock_.data());
    look();
  }

  std::size_t size() const { return T.size(); }
  /// One step; `gain` is the heat that each cell takes up [W/m3].
  void step(const std::vector<double>& gain, double dt_s) {
    const std::size_t n = size();
    before_ = T;
    for (std::size_t i = 0; i < n; ++i) {
      u_[i] += dt_s / steel_.density_kg_m3 * gain[i];
      clock_[i] += dt_s * rate_[i];
      clock_[n + i] += dt_s * rate_[n + i];
    }
    look();
    for (std::size_t i = 0; i < n; ++i)
      mean_[i] = 0.5 * (before_[i] + T[i]);
    material_.commit(clock_.data(), T.data(), mean_.data(), n, dt_s);
    look();
  }
  double before(std::size_t i) const { return before_[i]; }
  double product(std::size_t i) const { return material_.pearlite()[i] + material_.bainite()[i]; }
  /// Share of what was austenite that pearlite and bainite have left.
  double hardened(std::size_t i) const {
    const double left = material_.austenite()[i] + material_.martensite()[i];
    return left / (left + product(i));
  }
  /// Nothing but martensite moves in it any more.
  bool settled(std::size_t i) const { return T[i] < material_.ms()[i] || material_.austenite()[i] < 5e-4; }
  /// Hardness [HRC] when the cell has gone on to the room, where nothing but martensite moves.
  double hrc(std::size_t i) const {
    const double left = material_.austenite()[i] + material_.martensite()[i];
    const double rate = martensite_rate(steel_, material_.carbon()[i]);
    const double martensite =
        std::max(material_.martensite()[i], left * martensite_share(material_.ms()[i], room_degC, rate));
    return hrc_from_hv(mixture_hv({martensite, left - martensite, material_.bainite()[i],
                                   material_.pearlite()[i], material_.ferrite()[i], material_.cementite()[i],
                                   0, material_.bainite_hv()[i], material_.pearlite_hv()[i]},
                                  martensite_hv(steel_, material_.carbon()[i]), steel_.hardness));
  }
  const TransformingMaterial& material() const { return material_; }

  std::vector<double> T, k;

 private:
  void look() { material_.evaluate(u_.data(), clock_.data(), size(), T.data(), k.data(), rate_.data()); }

  const records::SteelRecord& steel_;
  TransformingMaterial material_;
  std::vector<double> u_, clock_, rate_, before_, mean_;
};

/// Share that stays hard in the middle of a round bar whose surface is at once as cold as the bath.
double hardened_in_the_middle(const records::SteelRecord& steel, double hardening_degC, double diameter_m) {
  constexpr std::size_t n = 24;
  constexpr double swiftest_m2_s = 1e-5; // diffusivity of cold martensite and above, for stable steps
  const double dr = 0.5 * diameter_m / n, dt = 0.4 * dr * dr / swiftest_m2_s;
  Row bar(steel, hardening_degC, n);
  std::vector<double> gain(n);
  const double ms = bar.material().ms().front();
  while (bar.T.front() > ms && bar.product(0) < 0.995) {
    double through_left = 0.0; // heat [W per m and 2 pi] through the face towards the axis, outwards
    for (std::size_t i = 0; i < n; ++i) {
      const double face = static_cast<double>(i + 1) * dr, inner = static_cast<double>(i) * dr;
      const double out = i + 1 < n ? 0.5 * (bar.k[i] + bar.k[i + 1]) * (bar.T[i] - bar.T[i + 1]) / dr
                                   : 2.0 * bar.k[i] * (bar.T[i] - water_degC) / dr;
      gain[i] = (through_left - face * out) * 2.0 / (face * face - inner * inner);
      through_left = face * out;
    }
    bar.step(gain, dt);
  }
  return bar.hardened(0);
}

} // namespace

double EndQuench::at(const std::vector<double>& column, double distance) const {
  const auto above = std::upper_bound(distance_m.begin() + 1, distance_m.end() - 1, distance);
  const auto i = static_cast<std::size_t>(above - distance_m.begin());
  const double way =
      std::clamp((distance - distance_m[i - 1]) / (distance_m[i] - distance_m[i - 1]), 0.0, 1.0);
  return column[i - 1] + way * (column[i] - column[i - 1]);
}

double EndQuench::reaches(const std::vector<double>& column, double level) const {
  for (std::size_t i = 1; i < column.size(); ++i)
    if (column[i] < level && column[i - 1] >= level)
      return distance_m[i - 1] +
             (distance_m[i] - distance_m[i - 1]) * (column[i - 1] - level) / (column[i - 1] - column[i]);
  return NAN;
}

EndQuench end_quench(const records::SteelRecord& steel, double hardening_degC) {
  constexpr std::size_t n = 128;
  constexpr double dx = bar_length_m / n, dt = 0.025, counted_at_degC = 1300.0 / 1.8 - 32.0 / 1.8;
  constexpr double longest_s = 3000.0;
  const double room_K = kelvin(room_degC), room_radiates = room_K * room_K * room_K * room_K;
  Row bar(steel, hardening_degC, n);
  EndQuench result;
  result.hardening_degC = hardening_degC;
  result.rate_704_K_s.assign(n, 0.0);
  std::vector<double> gain(n);
  bool settled = false;
  for (double time = 0; time < longest_s && !settled; time += dt) {
    double from_left = -jet_W_m2K * (bar.T[0] - water_degC);
    for (std::size_t i = 0; i < n; ++i) {
      const double to_right =
          i + 1 < n ? -0.5 * (bar.k[i] + bar.k[i + 1]) * (bar.T[i + 1] - bar.T[i]) / dx : 0.0;
      const double squared = kelvin(bar.T[i]) * kelvin(bar.T[i]);
      const double side = air_W_m2K * (bar.T[i] - room_degC) +
                          oxidised * stefan_boltzmann * (squared * squared - room_radiates);
      gain[i] = (from_left - to_right) / dx - side * 4.0 / bar_thickness_m;
      from_left = to_right;
    }
    bar.step(gain, dt);
    settled = true;
    for (std::size_t i = 0; i < n; ++i) {
      settled = settled && bar.settled(i);
      if (bar.before(i) > counted_at_degC && bar.T[i] <= counted_at_degC)
        result.rate_704_K_s[i] = (bar.before(i) - bar.T[i]) / dt;
    }
  }
  for (std::size_t i = 0; i < n; ++i) {
    result.distance_m.push_back((static_cast<double>(i) + 0.5) * dx);
    result.hrc.push_back(bar.hrc(i));
    result.hardened.push_back(bar.hardened(i));
    result.pearlite.push_back(bar.material().pearlite()[i]);
    result.bainite.push_back(bar.material().bainite()[i]);
  }
  return result;
}

std::vector<PublishedHardness> published_end_quench(const std::string& key) {
  if (key != "5160")
    return {};
  std::vector<PublishedHardness> points;
  for (const auto& [sixteenths, hrc] :
       {std::pair(6, 60.0), {8, 55.0}, {10, 50.0}, {12, 47.5}, {16, 43.0}, {20, 39.5}})
    points.push_back({sixteenths * sixteenth_m, hrc});
  return points;
}

double ideal_diameter(const records::SteelRecord& steel, double hardening_degC, double hardened) {
  double low = 1e-3, high = 0.4;
  for (int halved = 0; halved < 10; ++halved) { // to 0.6 %
    const double middle = std::sqrt(low * high);
    (hardened_in_the_middle(steel, hardening_degC, middle) > hardened ? low : high) = middle;
  }
  return std::sqrt(low * high);
}

double ideal_diameter_a255(const records::Composition& in_solution, double grain_number) {
  const records::Composition& wt = in_solution;
  constexpr double inch_m = 0.0254, most_carbon = 0.90, per_grain_number = 0.924;
  const double c = std::min(wt.C, most_carbon);
  const double carbon = c <= 0.39   ? 0.54 * c
                        : c <= 0.55 ? 0.171 + 0.001 * c + 0.265 * c * c
                        : c <= 0.65 ? 0.115 + 0.268 * c - 0.038 * c * c
                        : c <= 0.75 ? 0.143 + 0.2 * c
                                    : 0.062 + 0.409 * c - 0.135 * c * c;
  const double manganese = wt.Mn <= 1.2 ? 1.0 + 3.3333 * wt.Mn : 5.10 * wt.Mn - 1.12;
  return inch_m * carbon * manganese * (1.0 + 0.7 * wt.Si) * (1.0 + 0.363 * wt.Ni) * (1.0 + 2.16 * wt.Cr) *
         (1.0 + 3.0 * wt.Mo) * (1.0 + 0.365 * wt.Cu) * (1.0 + 1.73 * wt.V) *
         math::pow(per_grain_number, grain_number - 7.0);
}

} // namespace tq::steel
