#include "conduction/envelope.hpp"

#include "conduction/for_every_processor.hpp"
#include "conduction/kernels.hpp"
#include "conduction/sum_of_products.hpp"

#include <cmath>
#include <stdexcept>

namespace tq::conduction {

namespace {

/// What a bare flank without a second neighbour gives away: h and emissivity constant along it.
struct PlainExchange {
  double htc, radiation, env, env_fourth; ///< W/m2K, W/m2K4, degC, K4
};
/// [W/m2], as flux() of surround.hpp.
TQ_FOR_EVERY_PROCESSOR(void, plain_fluxes,
                       (std::size_t count, PlainExchange by, const UniformTable* htc,
                        const double* __restrict T, double* __restrict q),
                       (count, by, htc, T, q)) {
  if (htc) {
    const UniformTable::View h = htc->view();
    for (std::size_t n = 0; n < count; ++n)
      q[n] = h.value(T[n]) * (T[n] - by.env);
  } else {
    for (std::size_t n = 0; n < count; ++n)
      q[n] = by.htc * (T[n] - by.env);
  }
  if (by.radiation > 0)
    for (std::size_t n = 0; n < count; ++n) {
      const double K = kelvin(T[n]);
      q[n] += by.radiation * ((K * K) * (K * K) - by.env_fourth);
    }
}

/// Takes the fluxes q [W/m2] off the rates of the nodes.
TQ_FOR_EVERY_PROCESSOR(void, give_away,
                       (std::size_t count, const double* __restrict q, const double* __restrict length,
                        const double* __restrict inverse_mass, double* __restrict d),
                       (count, q, length, inverse_mass, d)) {
  for (std::size_t n = 0; n < count; ++n)
    d[n] = d[n] - q[n] * (inverse_mass[n] * length[n]);
}

} // namespace

Cover cover_of(const FoilCover& foil) {
  Cover cover(static_cast<std::size_t>(foil.layers));
  for (std::size_t l = 0; l < cover.size(); ++l) {
    CoverLayer& layer = cover[l];
    layer.mass_kg_m2 = foil.mass_kg_m2;
    layer.c0 = foil.c0;
    layer.c1 = foil.c1;
    layer.along_W_K = foil.along_W_K;
    layer.exchange = l == 0 ? foil.exchange_steel : foil.exchange_layers;
    layer.conductance = foil.gap_conductance;
  }
  return cover;
}

void Envelope::set_cover(const Cover& cover) {
  cover_ = cover;
  const std::size_t layers = cover.size();
  nodes_ = 0;
  for (int f = 0; f < faces; ++f) {
    offset_[f] = nodes_;
    nodes_ += sides_[f].length.size() * layers;
  }
  for (auto* v : {&mass_, &inverse_areal_, &c0_, &c1_})
    v->assign(nodes_, 1);
  for (int f = 0; f < faces; ++f) {
    const std::vector<double>& length = sides_[f].length;
    const std::size_t count = length.size();
    for (auto* v : {&gap_slope_[f], &inv_[f], &mult_[f], &rhs_[f], &row_inv_[f], &row_mult_[f], &along_[f],
                    &gap_factor_[f]})
      v->assign(count * layers, 0);
    for (auto* v : {&outer_slope_[f], &outer_used_[f], &add_[f]})
      v->assign(count, 0);
    depth_[f].assign(count, 0);
    for (std::size_t l = 0; l < layers; ++l) {
      const CoverLayer& layer = cover[l];
      const std::vector<double>&thickness = layer.thickness[f], &factor = layer.factor[f];
      for (const auto* list : {&thickness, &factor})
        if (!list->empty() && list->size() != count)
          throw std::invalid_argument("a cover needs one value per node of the face");
      const auto thick = [&](std::size_t n) { return thickness.empty() ? 1.0 : thickness[n]; };
      for (std::size_t n = 0; n < count; ++n) {
        const std::size_t at = l * count + n, node = offset_[f] + at;
        const bool here = depth_[f][n] == static_cast<int>(l) && thick(n) > 0 && layer.conductance[f];
        if (here)
          ++depth_[f][n];
        const double areal = here ? layer.mass_kg_m2 * thick(n) : 1.0; // a missing node only needs some mass
        mass_[node] = areal * length[n];
        inverse_areal_[node] = 1 / areal;
        c0_[node] = layer.c0;
        c1_[node] = layer.c1;
        gap_factor_[f][at] = factor.empty() ? 1.0 : factor[n];
      }
      for (std::size_t n = 0; n + 1 < count; ++n) {
        const bool both = depth_[f][n] > static_cast<int>(l) && depth_[f][n + 1] > static_cast<int>(l);
        along_[f][l * count + n] =
            both ? layer.along_W_K * 0.5 * (thick(n) + thick(n + 1)) / sides_[f].spacing[n] : 0.0;
      }
    }
  }
  T_.assign(nodes_, 20);
  c_ = c0_;
}

void Envelope::start(double otherwise_degC, double* u) const {
  for (std::size_t l = 0; l < cover_.size(); ++l) {
    const CoverLayer& layer = cover_[l];
    const double T = std::isnan(layer.start_degC) ? otherwise_degC : layer.start_degC;
    for (int f = 0; f < faces; ++f) {
      const std::size_t count = sides_[f].length.size();
      std::fill_n(u + offset_[f] + l * count, count, T * (layer.c0 + 0.5 * layer.c1 * T));
    }
  }
}

void Envelope::evaluate(const double* u) {
  for (std::size_t n = 0; n < nodes_; ++n) {
    const double c0 = c0_[n], c1 = c1_[n];
    T_[n] = 2 * u[n] / (c0 + std::sqrt(std::max(c0 * c0 + 2 * c1 * u[n], 1.0)));
  }
}

double Envelope::fluxes(double t, double env, const double* T_body, const double* inverse_mass, double* d,
                        double* foil_rate) {
  double out = 0;
  std::fill(foil_rate, foil_rate + nodes_, 0.0);
  const double env_fourth = fourth(env);
  const double env_second = surround_.second.temperature ? surround_.second.temperature(t) : env;
  const double second_fourth = fourth(env_second);
  for (int f = 0; f < faces; ++f) {
    const Side& side = sides_[f];
    const std::size_t count = side.length.size();
    const FaceExchange &face = surround_.face[f], &second = surround_.second.face[f];
    const auto& factor = surround_.emissivity_factor[f];
    const double emissivity = face.emissivity * (factor ? factor(t) : 1.0);
    const bool two = has_second(surround_, f);
    if (only_convects(f, emissivity)) {
      out += kernels::convect({count, side.stride}, *face.htc, env, T_body + side.first, side.length.data(),
                              inverse_mass + side.first, work_.data(), d + side.first);
      continue;
    }
    if (cover_.empty() && !two && surround_.extra_K.empty() && side.stride == 1) {
      plain_fluxes(count, {face.htc_constant_W_m2K, emissivity * stefan_boltzmann_W_m2K4, env, env_fourth},
                   face.htc.get(), T_body + side.first, work_.data());
      give_away(count, work_.data(), side.length.data(), inverse_mass + side.first, d + side.first);
      out += sum_of_products(count, work_.data(), side.length.data());
      continue;
    }
    for (std::size_t n = 0; n < count; ++n) {
      const std::size_t b = side.body(n);
      double T_inner = T_body[b];
      double* inner = &d[b];
      double per_mass = inverse_mass[b] * side.length[n];
      const auto depth = static_cast<std::size_t>(depth_[f][n]);
      for (std::size_t l = 0; l < depth; ++l) {
        const std::size_t at = l * count + n, fn = offset_[f] + at;
        const double T_outer = T_[fn];
        const double q = through_gap(f, l, at, T_inner, T_outer);
        *inner -= q * per_mass;
        per_mass = inverse_areal_[fn]; // lengths cancel
        foil_rate[fn] += q * per_mass;
        inner = &foil_rate[fn];
        T_inner = T_outer;
      }
      const double extra = extra_at(surround_, f, n), T_env = env + extra;
      double q = flux(face, emissivity, T_inner, T_env, extra == 0 ? env_fourth : fourth(T_env));
      if (two) {
        const double share = second_share(surround_, f, n, t);
        if (share > 0)
          q = (1 - share) * q + share * flux(second, second.emissivity, T_inner, env_second, second_fourth);
      }
      *inner -= q * per_mass;
      out += q * side.length[n];
    }
  }
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = sides_[f].length.size();
    for (std::size_t l = 0; l < cover_.size(); ++l) {
      const std::size_t first = offset_[f] + l * count;
      const double* T = T_.data() + first;
      const double* mass = mass_.data() + first;
      const double* along = along_[f].data() + l * count;
      double* rate = foil_rate + first;
      for (std::size_t n = 0; n + 1 < count; ++n) {
        const double q = along[n] * (T[n + 1] - T[n]);
        rate[n] += q / mass[n];
        rate[n + 1] -= q / mass[n + 1];
      }
    }
  }
  return out;
}

void Envelope::linearise(double t, double env, const double* T_body) {
  for (std::size_t n = 0; n < nodes_; ++n)
    c_[n] = c0_[n] + c1_[n] * T_[n];
  const double env_second = surround_.second.temperature ? surround_.second.temperature(t) : env;
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = sides_[f].length.size();
    const FaceExchange &face = surround_.face[f], &second = surround_.second.face[f];
    const auto& factor = surround_.emissivity_factor[f];
    const double emissivity = face.emissivity * (factor ? factor(t) : 1.0);
    const bool two = has_second(surround_, f);
    if (only_convects(f, emissivity)) {
      kernels::convection_slopes({count, sides_[f].stride}, *face.htc, env, T_body + sides_[f].first,
                                 sides_[f].length.data(), outer_slope_[f].data());
      continue;
    }
    for (std::size_t n = 0; n < count; ++n) {
      const double length = sides_[f].length[n];
      double T_inner = T_body[sides_[f].body(n)];
      const auto depth = static_cast<std::size_t>(depth_[f][n]);
      for (std::size_t l = 0; l < depth; ++l) {
        const std::size_t at = l * count + n;
        const double T_outer = T_[offset_[f] + at];
        const double mean = 0.5 * (T_inner + T_outer), K = kelvin(mean);
        gap_slope_[f][at] = length * (gap_factor_[f][at] * cover_[l].conductance[f]->value(mean) +
                                      4 * cover_[l].exchange * stefan_boltzmann_W_m2K4 * K * K * K);
        T_inner = T_outer;
      }
      double slope = flux_slope(face, emissivity, T_inner, env + extra_at(surround_, f, n));
      if (two) {
        const double share = second_share(surround_, f, n, t);
        if (share > 0)
          slope = (1 - share) * slope + share * flux_slope(second, second.emissivity, T_inner, env_second);
      }
      outer_slope_[f][n] = length * slope;
    }
  }
}

// A falling h(T) makes the slope negative, which must not use up more than half the diagonal.
void Envelope::eliminate(double g, const double* heat_capacity, bool whole) {
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = sides_[f].length.size();
    if (cover_.empty()) {
      for (std::size_t n = 0; n < count; ++n)
        outer_used_[f][n] = add_[f][n] =
            std::max(outer_slope_[f][n], -0.5 * heat_capacity[sides_[f].body(n)] / g);
      continue;
    }
    for (std::size_t n = 0; n < count; ++n) {
      const auto depth = static_cast<std::size_t>(depth_[f][n]);
      const std::size_t last = offset_[f] + (depth - 1) * count + n;
      const double capacity = depth > 0 ? mass_[last] * c_[last] : heat_capacity[sides_[f].body(n)];
      const double outer = std::max(outer_slope_[f][n], -0.5 * capacity / g);
      outer_used_[f][n] = outer;
      if (whole)
        continue;
      double add = outer;
      for (std::size_t l = cover_.size(); l-- > depth;) {
        const std::size_t at = l * count + n, node = offset_[f] + at;
        inv_[f][at] = 1.0 / (mass_[node] * c_[node]);
        mult_[f][at] = 0;
      }
      for (std::size_t l = depth; l-- > 0;) {
        const std::size_t at = l * count + n, node = offset_[f] + at;
        const double couple = gap_slope_[f][at];
        const double diag = mass_[node] * c_[node] + g * (couple + add);
        inv_[f][at] = 1.0 / diag;
        mult_[f][at] = g * couple / diag;
        add = couple * (1.0 - mult_[f][at]);
      }
      add_[f][n] = add;
    }
  }
}

void Envelope::factorise_rows(double g) {
  // Foil tied closely to thin steel must be damped along the same lines as the steel is, or the product of
  // line operators turns unstable once the foil holds more than about a quarter of the steel's heat.
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = sides_[f].length.size();
    for (std::size_t l = 0; l < cover_.size(); ++l) {
      double before = 0, mult = 0;
      for (std::size_t n = 0; n < count; ++n) {
        const std::size_t at = l * count + n, node = offset_[f] + at;
        const double couple = g * along_[f][at];
        const double d = mass_[node] * c_[node] + couple + before * (1 - mult);
        row_inv_[f][at] = 1 / d;
        mult = couple / d;
        row_mult_[f][at] = mult;
        before = couple;
      }
    }
  }
}

void Envelope::solve_rows(int f, double* uf) {
  const std::size_t count = sides_[f].length.size();
  for (std::size_t l = 0; l < cover_.size(); ++l) {
    const std::size_t first = offset_[f] + l * count;
    double* u = uf + first;
    const double* c = c_.data() + first;
    const double* mass = mass_.data() + first;
    const double* inverse = row_inv_[f].data() + l * count;
    const double* mult = row_mult_[f].data() + l * count;
    double carry = 0;
    for (std::size_t n = 0; n < count; ++n) {
      const double w = mass[n] * u[n] + carry;
      u[n] = w * inverse[n];
      carry = mult[n] * w;
    }
    carry = 0;
    for (std::size_t n = count; n-- > 0;) {
      carry = u[n] + mult[n] * carry;
      u[n] = c[n] * carry;
    }
  }
}

bool Envelope::even() const {
  return std::all_of(cover_.begin(), cover_.end(), [](const CoverLayer& layer) {
    const auto empty = [](const std::vector<double>& list) { return list.empty(); };
    return std::all_of(layer.thickness.begin(), layer.thickness.end(), empty) &&
           std::all_of(layer.factor.begin(), layer.factor.end(), empty);
  });
}

double Envelope::flux_inside(int f, std::size_t n, const double* T_body) const {
  return through_gap(f, 0, n, T_body[sides_[f].body(n)], T_[offset_[f] + n]);
}

template <class What>
void Envelope::for_each_part(const Envelope& finer, const What& what) const {
  for (int f = 0; f < faces; ++f) {
    const std::size_t own = sides_[f].length.size(), count = finer.sides_[f].length.size();
    for (std::size_t l = 0; l < cover_.size(); ++l)
      for (std::size_t n = 0; n < count; ++n) {
        const std::size_t from = finer.offset_[f] + l * count + n, to = offset_[f] + l * own + n % own;
        what(to, from, finer.mass_[from] / mass_[to]);
      }
  }
}

void Envelope::gather(const Envelope& finer, const double* u_finer, double* u) const {
  std::fill_n(u, nodes_, 0.0);
  for_each_part(finer, [&](std::size_t to, std::size_t from, double part) { u[to] += part * u_finer[from]; });
}

void Envelope::spread(const Envelope& finer, const double* u, double* u_finer) const {
  for_each_part(finer, [&](std::size_t of, std::size_t to, double) { u_finer[to] = u[of]; });
}

std::size_t Envelope::layers_on(int f) const {
  return depth_[f].empty() ? 0
                           : static_cast<std::size_t>(*std::max_element(depth_[f].begin(), depth_[f].end()));
}

void Envelope::fold(int f, const double* uf, const double* scale, double* rhs_of_body) {
  const Side& side = sides_[f];
  const std::size_t count = side.length.size();
  const std::size_t layers = cover_.size();
  for (std::size_t l = layers; l-- > 0;)
    for (std::size_t n = 0; n < count; ++n) {
      const std::size_t at = l * count + n;
      double rhs = mass_[offset_[f] + at] * uf[offset_[f] + at];
      if (l + 1 < layers)
        rhs += mult_[f][at + count] * rhs_[f][at + count];
      rhs_[f][at] = rhs;
      if (l == 0) {
        const std::size_t b = side.body(n);
        rhs_of_body[b] += mult_[f][at] * rhs * (scale ? scale[b] : 1.0);
      }
    }
}

double Envelope::unfold(int f, double* uf, const double* scale, const double* scaled_z) {
  const Side& side = sides_[f];
  const std::size_t count = side.length.size();
  if (cover_.empty())
    return kernels::sum_over_face({count, side.stride}, outer_used_[f].data(), scaled_z + side.first,
                                  scale + side.first);
  double heat = 0;
  for (std::size_t n = 0; n < count; ++n) {
    const std::size_t b = side.body(n);
    double z = scaled_z[b] / scale[b], z_outer = z;
    for (std::size_t l = 0; l < cover_.size(); ++l) {
      const std::size_t at = l * count + n;
      z = inv_[f][at] * rhs_[f][at] + mult_[f][at] * z;
      uf[offset_[f] + at] = c_[offset_[f] + at] * z;
      if (static_cast<int>(l) < depth_[f][n])
        z_outer = z;
    }
    heat += outer_used_[f][n] * z_outer;
  }
  return heat;
}

double Envelope::second_heat_rate(double t, const double* T_body) const {
  if (!surround_.second.temperature)
    return 0;
  const double env = surround_.second.temperature(t), env_fourth = fourth(env);
  double out = 0;
  for (int f = 0; f < faces; ++f) {
    if (!has_second(surround_, f))
      continue;
    const FaceExchange& second = surround_.second.face[f];
    const std::size_t count = sides_[f].length.size();
    for (std::size_t n = 0; n < count; ++n) {
      const auto depth = static_cast<std::size_t>(depth_[f][n]);
      const double T = depth > 0 ? T_[offset_[f] + (depth - 1) * count + n] : T_body[sides_[f].body(n)];
      out += second_share(surround_, f, n, t) * sides_[f].length[n] *
             flux(second, second.emissivity, T, env, env_fourth);
    }
  }
  return out;
}

double Envelope::outer_surface_max(const double* T_body) const {
  double most = -1e300;
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = sides_[f].length.size();
    for (std::size_t n = 0; n < count; ++n) {
      const auto depth = static_cast<std::size_t>(depth_[f][n]);
      most = std::max(most, depth > 0 ? T_[offset_[f] + (depth - 1) * count + n] : T_body[sides_[f].body(n)]);
    }
  }
  return most;
}

double Envelope::mean_degC(std::size_t first) const {
  double heat = 0, capacity = 0;
  for (int f = 0; f < faces; ++f) {
    const std::size_t count = sides_[f].length.size();
    for (std::size_t l = first; l < cover_.size(); ++l)
      for (std::size_t n = 0; n < count; ++n)
        if (static_cast<int>(l) < depth_[f][n]) {
          const std::size_t node = offset_[f] + l * count + n;
          heat += mass_[node] * c0_[node] * T_[node];
          capacity += mass_[node] * c0_[node];
        }
  }
  return capacity > 0 ? heat / capacity : std::numeric_limits<double>::quiet_NaN();
}

double Envelope::energy(const double* u, double sum) const {
  for (std::size_t n = 0; n < nodes_; ++n)
    sum += mass_[n] * u[n];
  return sum;
}

double Envelope::largest_error(const double* error, double worst) const {
  // the foil only matters through what it passes on
  constexpr double foil_weight = 0.3;
  for (std::size_t n = 0; n < nodes_; ++n) {
    const double v = foil_weight * std::abs(error[n]) / c_[n];
    worst = std::isfinite(v) ? std::max(worst, v) : std::numeric_limits<double>::infinity();
  }
  return worst;
}

} // namespace tq::conduction
