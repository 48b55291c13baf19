// The loops compiled for each width of vectors: which of them runs, and that all give the same bits.
#include "conduction/band_matrix.hpp"
#include "conduction/for_every_processor.hpp"
#include "conduction/kernels.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <fstream>
#include <random>
#include <string>
#include <vector>

namespace tq::conduction {
namespace {

using Numbers = std::vector<double>;

/// Runs on one processor's loops as long as it lives.
struct On {
  explicit On(Processor p) : before(processor()), taken(use_processor(p)) {}
  ~On() { use_processor(before); }
  On(const On&) = delete;
  On& operator=(const On&) = delete;
  Processor before, taken;
};

std::string flags_of_cpuinfo() {
  std::ifstream in("/proc/cpuinfo");
  for (std::string line; std::getline(in, line);)
    if (line.rfind("flags", 0) == 0)
      return line + " ";
  return {};
}

/// What a mesh of nx by ny nodes might hold, always the same.
struct Arrays {
  Arrays(std::size_t x, std::size_t y) : nx(x), ny(y) {
    std::mt19937 engine(static_cast<std::mt19937::result_type>(x * 100 + y));
    const auto some = [&](std::size_t n, double from, double to) {
      Numbers v(n);
      for (double& e : v)
        e = from + (to - from) * static_cast<double>(engine()) / 4294967296.0;
      return v;
    };
    const std::size_t n = x * y;
    T = some(n, 20, 900);
    k = some(n, 20, 45);
    along = some(n, 0.1, 4);
    across = some(n, 0.1, 40);
    diagonal = some(n, -0.3, 0.3);
    mass = some(n, 0.01, 0.05);
    length = some(n, 1e-4, 2e-3);
    for (std::size_t j = 0; j < y; ++j)
      along[j * x + x - 1] = diagonal[j * x + x - 1] = 0;
    for (double m : mass)
      inverse_mass.push_back(1 / m);
  }
  std::size_t nx, ny;
  Numbers T, k, along, across, diagonal, mass, length, inverse_mass;
};

/// Everything the kernels compute from these arrays, one after the other.
Numbers all_kernels(const Arrays& a) {
  const std::size_t n = a.nx * a.ny;
  Numbers all;
  const auto keep = [&](const Numbers& v, std::size_t count) {
    all.insert(all.end(), v.begin(), v.begin() + static_cast<std::ptrdiff_t>(count));
  };
  Numbers buffer(3 * a.nx), out(n), other(n);
  for (const double* diagonal : {a.diagonal.data(), static_cast<const double*>(nullptr)})
    for (const double share : {0.0, 0.2}) {
      kernels::conduct(a.nx, a.ny, a.T.data(), a.k.data(), a.along.data(), a.across.data(), diagonal,
                       a.inverse_mass.data(), share, 0.2, buffer.data(), out.data());
      keep(out, n);
    }
  Numbers kx(n), ky(n);
  kernels::face_conductances(a.nx, a.ny, a.k.data(), a.along.data(), a.across.data(), kx.data(), ky.data());
  keep(kx, n);
  keep(ky, n);

  const double g = 1e-4;
  Numbers inverse(kernels::along_size(a.nx, a.ny)), multiplier(inverse), scratch(8 * a.nx), work(n);
  kernels::factorise_along(a.nx, a.ny, g, a.mass.data(), kx.data(), a.length.data(), a.length.data(),
                           inverse.data(), multiplier.data());
  kernels::solve_along(a.nx, a.ny, inverse.data(), multiplier.data(), a.mass.data(), a.inverse_mass.data(),
                       a.T.data(), out.data(), scratch.data());
  keep(out, n);

  Numbers from_first(a.nx), into_last(a.nx);
  const kernels::FlankRows flanks{0.1, 0.1, from_first.data(), into_last.data()};
  Numbers pivots(n), factors(n);
  kernels::factorise_across(a.nx, a.ny, g, a.mass.data(), ky.data(), a.length.data(), a.length.data(), flanks,
                            pivots.data(), factors.data());
  work = a.T;
  kernels::solve_across(a.nx, a.ny, pivots.data(), factors.data(), flanks, work.data(), a.inverse_mass.data(),
                        out.data());
  keep(out, n);

  const UniformTable htc(0, 1000, 1.0, [](double T) { return 100 + 3000 * std::exp(-T * T / 90000); });
  for (const std::size_t stride : {std::size_t{1}, a.nx}) {
    const kernels::FaceNodes face{stride == 1 ? a.nx : a.ny, stride};
    Numbers flux(face.count), slope(face.count);
    out = a.T;
    all.push_back(kernels::convect(face, htc, 60, a.T.data(), a.length.data(), a.inverse_mass.data(),
                                   flux.data(), out.data()));
    keep(out, n);
    kernels::convection_slopes(face, htc, 60, a.T.data(), a.length.data(), slope.data());
    keep(slope, face.count);
    all.push_back(kernels::sum_over_face(face, slope.data(), a.T.data(), a.mass.data()));
  }

  kernels::multiply(n, a.T.data(), a.k.data(), out.data());
  keep(out, n);
  all.push_back(kernels::largest_weighted(n, a.T.data(), a.k.data()));
  for (const double slope : {0.35, 1e-9}) {
    const kernels::LinearMaterial m{0, 900, 460, slope, 45, -0.02, 0, 800};
    Numbers u(n);
    for (std::size_t i = 0; i < n; ++i)
      u[i] = 600 * (a.T[i] - 30);
    kernels::temperature_linear(n, m, u.data(), out.data(), other.data());
    keep(out, n);
    keep(other, n);
  }
  for (int count = 0; count <= 4; ++count) {
    kernels::combine(n, a.T.data(), 0.7, {a.k.data(), a.along.data(), a.across.data(), a.mass.data()},
                     {0.1, 0.2, 0.3, 0.4}, count, out.data());
    keep(out, n);
  }

  const std::size_t width = a.ny + 1;
  BandMatrix band(n, width);
  for (std::size_t i = 0; i < n; ++i)
    for (std::size_t j = i; j < std::min(n, i + width + 1); ++j) {
      band.add(i, j, i == j ? 10 * a.k[i] : 0.1 * a.along[j]);
      if (i != j)
        band.add(j, i, 0.1 * a.along[j]);
    }
  band.factorise();
  out = a.T;
  out.resize(n + width);
  band.solve(out.data());
  keep(out, n);
  return all;
}

TEST(Processors, Chosen_IsTheWidestThatProcCpuinfoNames) {
  const std::string flags = flags_of_cpuinfo();
#if defined(__x86_64__)
  if (flags.empty())
    GTEST_SKIP() << "no /proc/cpuinfo with flags";
  const auto has = [&](const char* flag) {
    return flags.find(" " + std::string(flag) + " ") != std::string::npos;
  };
  const bool avx2 = has("avx2") && has("bmi1") && has("bmi2");
  const bool avx512 =
      avx2 && has("avx512f") && has("avx512bw") && has("avx512cd") && has("avx512dq") && has("avx512vl");
  EXPECT_EQ(name_of(widest_processor()), avx512 ? "avx512" : avx2 ? "avx2" : "plain");
#else
  EXPECT_EQ(name_of(widest_processor()), "plain");
#endif
  EXPECT_LE(processor(), widest_processor());
  RecordProperty("runs_on", name_of(processor()));
  std::printf("runs on: %s, has: %s\n", name_of(processor()).c_str(), name_of(widest_processor()).c_str());
}

TEST(Processors, Forced_RunsNoWiderThanAsked) {
  for (const Processor p : {Processor::plain, Processor::avx2, Processor::avx512}) {
    const On on(p);
    EXPECT_EQ(processor(), on.taken);
    EXPECT_LE(on.taken, p);
    EXPECT_EQ(on.taken, std::min(p, widest_processor()));
  }
}

TEST(Processors, AllWidths_GiveTheSameBits) {
  // lines of all bundles, of all remainders of eight, and as few as there can be
  const std::array<std::array<std::size_t, 2>, 9> meshes{
      {{3, 3}, {17, 4}, {31, 5}, {16, 6}, {37, 7}, {91, 8}, {61, 9}, {22, 13}, {45, 17}}};
  for (const auto& [nx, ny] : meshes) {
    const Arrays arrays(nx, ny);
    const auto on = [&](Processor p) {
      const On forced(p);
      return all_kernels(arrays);
    };
    const Numbers plain = on(Processor::plain);
    for (const double x : plain)
      ASSERT_TRUE(std::isfinite(x));
    for (const Processor p : processors()) {
      const Numbers other = on(p);
      ASSERT_EQ(other.size(), plain.size());
      EXPECT_EQ(std::memcmp(other.data(), plain.data(), plain.size() * sizeof(double)), 0)
          << name_of(p) << " on " << nx << " x " << ny << " nodes";
    }
  }
}

} // namespace
} // namespace tq::conduction
