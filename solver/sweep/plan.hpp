// The plan of a sweep: a base case, the keys that change and how, and the figures wanted of each case. Read
// from TOML; no file is opened here. The grammar stands in README.md beside this file.
#pragma once

#include "records/document.hpp"
#include "treatment/case.hpp"

#include <cstddef>
#include <cstdint>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

namespace tq::sweep {

inline constexpr std::size_t most_cases = 100'000'000; ///< of a plan; a case costs some hundred bytes
/// On all axes of a plan together, those of a sample too: they are kept.
inline constexpr std::size_t most_values = 5'000'000;

/// One key with the values it takes along an axis.
struct AxisKey {
  std::string key;                ///< as the plan calls it: "bath.temperature", "blade.spine"
  std::vector<std::string> paths; ///< of the settings that it stands for: one for each station
  bool numeric = false;
  bool whole = false;             ///< a whole number
  std::string dimension;          ///< of a number, see units::dimensions(); "" for a bare one
  std::string says;               ///< what the key means
  std::vector<double> values;     ///< SI, degC; of numeric keys
  std::vector<std::string> texts; ///< as a case would write them; empty where `values` tell them
  int line = 0;                   ///< of the plan

  /// The value of that number as a case would write it.
  std::string text(std::size_t i) const;
  /// The same without quotes.
  std::string label(std::size_t i) const;
  /// Unit of `values` in UDUNITS spelling.
  const char* unit() const;
};

/// What changes together: one axis, several side by side, a sample or the rows of a table.
struct Factor {
  std::string
      name; ///< of its dimension: the key when it is one, else "rows", "sample" or the word behind `with`
  std::vector<AxisKey> keys;
  std::size_t size = 0;
  double stage = 0; ///< of the treatment: the earliest part that its keys change, see stage_of()
};

struct Plan {
  std::string title, text, file;
  std::string case_path; ///< of the base case, as written
  std::vector<Factor> factors;
  std::vector<std::string> figures, verdicts; ///< as written, see columns.hpp
  int draws = 0;                              ///< of each case; 0: as stated only
  std::uint64_t seed = 1;

  std::size_t cases() const;
  /// Number of a case by its place along each factor, the last one running fastest; and back.
  std::size_t number(const std::vector<std::size_t>& places) const;
  std::vector<std::size_t> places(std::size_t number) const;
  /// What is laid on the base case to make this one.
  std::vector<records::Setting> settings(std::size_t number) const;
};

/// Texts of files that the plan names, by their names as written. Throws records::InputError.
using TextSource = std::function<std::string(const std::string& name)>;

/// Reads a plan. `stations` is asked once it is known which case it is about: the number of sections of the
/// base case at that path. Throws records::InputError, one line.
Plan read_plan(std::string_view text, std::string file, const TextSource& tables,
               const std::function<std::size_t(const std::string& case_path)>& stations);

/// What takes one case of the plan, and throws records::InputError when it cannot be read.
using CaseReader = std::function<treatment::Case(const std::vector<records::Setting>&)>;

/// Tries the values of each axis on the base case, all other axes at their first: at most `most` of an axis,
/// its ends among them. Throws records::InputError that names the line of the plan.
void try_values(const Plan& plan, const CaseReader& read, std::size_t most = 500);

/// Where in the treatment a key counts first: 0 from the furnace on (blade, steel, furnace, foil), 1
/// transfer, 2 bath, 3 cooling, 4 temper, 5 only in the verdicts; steps of a list between 1 and 2 by their
/// number.
double stage_of(std::string_view key);

} // namespace tq::sweep
