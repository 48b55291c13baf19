#include "answers/section_change.hpp"

#include <algorithm>
#include <cmath>

namespace tq::answers {

namespace {

using section::Profile;

double thickest_of(const Profile& p) { return p.thickness_at(p.thickest_at()); }
double edge_of(const Profile& p) { return p.top.back() - p.bottom.back(); }

/// Every thickness t becomes new_thickness(t); what lies off the centre goes along.
template <class F>
void reshape(Profile& p, F&& new_thickness) {
  for (std::size_t i = 0; i < p.x.size(); ++i) {
    const double t = p.top[i] - p.bottom[i];
    const double scale = new_thickness(t) / t;
    p.top[i] *= scale;
    p.bottom[i] *= scale;
  }
}

double thinnest_edge(const treatment::Blade& blade) {
  double least = 1e9;
  for (const treatment::Station& s : blade.stations)
    least = std::min(least, edge_of(s.profile));
  return least;
}

bool can_be(treatment::Blade blade, void (*set)(treatment::Blade&, double), double value) {
  try {
    set(blade, value);
    return true;
  } catch (const section::ProfileError&) {
    return false;
  }
}

/// From `now`, which the blade has, towards `end` as far as its sections can be computed (slopes, thin
/// places).
double farthest(const treatment::Blade& blade, void (*set)(treatment::Blade&, double), double now,
                double end) {
  if (can_be(blade, set, end))
    return end;
  constexpr int halvings = 30;
  for (int i = 0; i < halvings; ++i) {
    const double middle = 0.5 * (now + end);
    (can_be(blade, set, middle) ? now : end) = middle;
  }
  return now;
}

} // namespace

double thickest(const treatment::Blade& blade) {
  double most = 0;
  for (const treatment::Station& s : blade.stations)
    most = std::max(most, thickest_of(s.profile));
  return most;
}

double least_thickest(const treatment::Blade& blade) {
  // no section thinner than its own edge
  double least = 0;
  for (const treatment::Station& s : blade.stations)
    least = std::max(least, edge_of(s.profile) * thickest(blade) / thickest_of(s.profile));
  return farthest(blade, set_thickest, thickest(blade), std::max(least, 2 * section::least_thickness));
}

double most_thickest(const treatment::Blade& blade) {
  double narrowest = 1e9;
  for (const treatment::Station& s : blade.stations)
    narrowest = std::min(narrowest, s.profile.width());
  const double now = thickest(blade);
  return farthest(blade, set_thickest, now, std::max(now, std::min(section::most_thickness, narrowest)));
}

void set_thickest(treatment::Blade& blade, double thickness_m) {
  const double ratio = thickness_m / thickest(blade);
  for (treatment::Station& s : blade.stations) {
    Profile& p = s.profile;
    const double edge = edge_of(p), most = thickest_of(p), wanted = most * ratio;
    if (most - edge > 1e-9)
      reshape(p, [&](double t) { // what is thinner than the edge (a false edge) stays
        return t <= edge ? t : edge + (t - edge) * (wanted - edge) / (most - edge);
      });
    else // as thick all over: there is no edge to keep
      reshape(p, [&](double t) { return t * ratio; });
    s.profile = section::make_profile(std::move(p));
  }
}

void set_edge(treatment::Blade& blade, double edge_m) {
  for (treatment::Station& s : blade.stations) {
    Profile& p = s.profile;
    const double edge = edge_of(p), most = thickest_of(p);
    if (most - edge > 1e-9)
      reshape(p, [&](double t) {
        return t < edge ? t * edge_m / edge : most - (most - t) * (most - edge_m) / (most - edge);
      });
    else if (edge_m < most)
      for (std::size_t i = 0; i < p.x.size(); ++i) { // a strip gets a taper
        const double scale = 1 + (edge_m / most - 1) * p.x[i] / p.width();
        p.top[i] *= scale;
        p.bottom[i] *= scale;
      }
    s.profile = section::make_profile(std::move(p));
  }
}

double least_edge(const treatment::Blade& blade) {
  constexpr double least = 0.1e-3;
  const double now = thinnest_edge(blade);
  return farthest(blade, set_edge, now, std::min(now, least));
}

double most_edge(const treatment::Blade& blade) {
  double least = 1e9;
  for (const treatment::Station& s : blade.stations)
    least = std::min(least, thickest_of(s.profile));
  const double now = thinnest_edge(blade);
  return farthest(blade, set_edge, now, std::max(now, least));
}

} // namespace tq::answers
