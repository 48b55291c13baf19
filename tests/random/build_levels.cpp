// Holds the answers to the shipped cases of one build against those of another with other optimisation:
// build_levels --write FILE by the one, build_levels --compare FILE by the other.
#include "answer_figures.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <exception>
#include <fstream>
#include <limits>

namespace {

using namespace tq;

constexpr double most_relative = 1e-6;
constexpr double least_size = 1e-6; ///< a share or a sum below this counts as this when differences are taken

test::NamedFigures all_figures() {
  test::NamedFigures all;
  for (const treatment::Case& c : test::shipped_cases()) {
    const test::NamedFigures of_case = test::answer_figures(c);
    all.insert(all.end(), of_case.begin(), of_case.end());
  }
  return all;
}

int write(const char* path) {
  std::ofstream out(path);
  out.precision(17);
  for (const auto& [name, value] : all_figures())
    out << value << '\t' << name << '\n';
  out.close();
  return out ? 0 : 1;
}

double relative(double a, double b) {
  if (a == b || (std::isnan(a) && std::isnan(b)))
    return 0;
  const double difference = std::abs(a - b) / std::max({std::abs(a), std::abs(b), least_size});
  return std::isfinite(difference) ? difference : std::numeric_limits<double>::infinity();
}

int compare(const char* path) {
  std::ifstream in(path);
  const test::NamedFigures here = all_figures();
  std::size_t other_bits = 0, read = 0, failed = 0;
  double worst = 0;
  std::string worst_name = "none", value, name;
  for (; std::getline(in, value, '\t') && std::getline(in, name); ++read) {
    if (read >= here.size() || here[read].first != name) {
      std::printf("figure %zu has another name there: %s\n", read, name.c_str());
      return 1;
    }
    const double there = std::strtod(value.c_str(), nullptr), difference = relative(here[read].second, there);
    other_bits += difference > 0;
    if (difference > worst) {
      worst = difference;
      worst_name = name;
    }
    if (difference > most_relative && ++failed <= 10)
      std::printf("%s: %.17g here, %.17g there\n", name.c_str(), here[read].second, there);
  }
  std::printf("%zu figures, %zu not the same bits, %zu further apart than %g; worst %.1e: %s\n", read,
              other_bits, failed, most_relative, worst, worst_name.c_str());
  return read == here.size() && read > 0 && failed == 0 ? 0 : 1;
}

} // namespace

int main(int argc, char** argv) {
  try {
    if (argc == 3 && std::strcmp(argv[1], "--write") == 0)
      return write(argv[2]);
    if (argc == 3 && std::strcmp(argv[1], "--compare") == 0)
      return compare(argv[2]);
  } catch (const std::exception& e) {
    std::fprintf(stderr, "%s\n", e.what());
    return 1;
  }
  std::fputs("usage: build_levels --write FILE | --compare FILE\n", stderr);
  return 2;
}
