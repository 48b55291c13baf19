// Frozen figures of the shipped cases. `golden check CASE` computes a case as stated and with 32 draws and
// holds every figure against the file beside this one; `golden update CASE...` rewrites the files and says
// what moved by how much. A figure may move by one in its last digit as people are shown it (digits.json).
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <map>
#include <nlohmann/json.hpp>
#include <set>
#include <stdexcept>
#include <string>
#include <vector>

namespace {

namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;

Json read(const fs::path& file) {
  std::ifstream in(file);
  if (!in)
    throw std::runtime_error("cannot read " + file.string());
  return Json::parse(in);
}

/// What `thinquench harden` says as JSON.
Json compute(const fs::path& program, const fs::path& case_file) {
  const fs::path folder = fs::temp_directory_path() / ("golden_" + case_file.stem().string() + "_" +
                                                       std::to_string(std::hash<std::string>{}(program)));
  const std::string command = program.string() + " harden " + case_file.string() +
                              " --json --members 32 --no-what-if --output " + folder.string() + " 2>" +
                              folder.string() + ".err";
  FILE* pipe = popen(command.c_str(), "r");
  if (pipe == nullptr)
    throw std::runtime_error("cannot start " + command);
  std::string text;
  char block[65536];
  for (std::size_t n; (n = fread(block, 1, sizeof block, pipe)) > 0;)
    text.append(block, n);
  const int status = pclose(pipe);
  fs::remove_all(folder);
  if (status != 0)
    throw std::runtime_error("failed: " + command);
  fs::remove(folder.string() + ".err");
  return Json::parse(text);
}

/// The steps to which figures are frozen.
class Digits {
 public:
  Digits(const Json& table, const Json& units) : table_(table), units_(units) {}
  double step(const std::string& figure, double value) const {
    const Json* rule = &table_.at("otherwise");
    const Json& by_unit = table_.at("by unit");
    if (const auto unit = units_.find(figure); unit != units_.end() && by_unit.contains(*unit))
      rule = &by_unit.at(unit->get<std::string>());
    if (const Json& by_figure = table_.at("by figure"); by_figure.contains(figure))
      rule = &by_figure.at(figure);
    if (!rule->is_string())
      return rule->get<double>();
    const int digits = std::stoi(rule->get<std::string>()); // "3 digits"
    return value == 0 ? 1e-12 : std::pow(10, std::floor(std::log10(std::abs(value))) + 1 - digits);
  }

 private:
  Json table_, units_;
};

using Figures = std::map<std::string, Json>; ///< by "station: figure"; a number, null or a word

/// The figures of a document of answers, rounded.
class Collector {
 public:
  explicit Collector(const Digits& digits) : digits_(digits) {}

  Figures of(const Json& answers) {
    for (const std::string verdict : {"soak", "quench", "hardness"}) {
      figures_[verdict] = answers.at(verdict).at("as_stated");
      figures_["draws: " + verdict] = answers.at(verdict).at("verdict");
    }
    for (const Json& s : answers.at("stations"))
      all(s.at("name").get<std::string>() + ":", s);
    const Json& bands = answers.at("bands");
    figures_["draws: failed"] = bands.at("failed");
    for (const Json& s : bands.at("stations"))
      all("draws " + s.at("name").get<std::string>() + ":", s);
    const Json& risks = answers.at("risks");
    for (const char* risk : {"bow", "crack"})
      figures_[risk] = risks.at(risk).at("verdict");
    put("notch_factor", "notch_factor", risks.at("notch_factor"));
    for (const Json& flag : risks.at("flags"))
      figures_["crack: " + flag.at("key").get<std::string>()] = flag.at("level");
    for (const Json& s : risks.at("stations"))
      all(s.at("name").get<std::string>() + ": bow", s);
    return std::move(figures_);
  }

 private:
  static bool word_kept(const std::string& key) {
    static const std::set<std::string> kept = {"verdict", "wanted", "kind", "zone", "medium", "outside"};
    return kept.contains(key);
  }

  Json rounded(const std::string& figure, const Json& value) const {
    if (!value.is_number())
      return value;
    const double v = value.get<double>(), step = digits_.step(figure, v);
    // through text, so that the file says 0.3 and not 0.30000000000000004
    char text[40];
    std::snprintf(text, sizeof text, "%.12g", std::round(v / step) * step + 0.0);
    return Json(std::strtod(text, nullptr));
  }

  void put(const std::string& path, const std::string& figure, const Json& value) {
    if (value.is_array()) {
      Json list = Json::array();
      for (const Json& one : value)
        list.push_back(rounded(figure, one));
      figures_[path] = list;
    } else {
      figures_[path] = rounded(figure, value);
    }
  }

  /// All figures below an object; `path` ends where a name of a figure goes on.
  void all(const std::string& path, const Json& object) {
    for (const auto& [key, value] : object.items()) {
      const std::string here = path + " " + key;
      if (key == "causes" || key == "isothermal" || key == "parts" || (key == "cooling" && value.is_array()))
        continue; // words, curves and shares of causes
      if (key == "zones") {
        zones(path, value);
      } else if (value.is_object() && value.contains("middle") && value.contains("low")) {
        put(here, key, Json::array({value.at("low"), value.at("middle"), value.at("high")}));
      } else if (value.is_object() && value.contains("verdict")) {
        // the answers hold both: as stated here, as judged by draws below `bands`
        figures_[here] = value.contains("as_stated") ? value.at("as_stated") : value.at("verdict");
        if (value.contains("passing") && !value.contains("as_stated"))
          put(here + " passing", "passing", value.at("passing"));
      } else if (value.is_object()) {
        all(key == "figures" || key == "surface" ? path : here, value);
      } else if (value.is_array() && !value.empty() && value.front().is_object()) {
        for (std::size_t k = 0; k < value.size(); ++k)
          all(here + " " + std::to_string(k + 1), value[k]);
      } else if (!value.is_string() || word_kept(key)) {
        put(here, key, value);
      }
    }
  }

  /// Zones beside one another: one figure, one line.
  void zones(const std::string& path, const Json& zones) {
    std::map<std::string, Json> beside;
    for (const auto& [zone, figures] : zones.items()) {
      const Figures of_zone = [&] {
        Collector one(digits_);
        one.all("", figures);
        return one.figures_;
      }();
      for (const auto& [key, value] : of_zone)
        beside[key][zone] = value;
    }
    for (const auto& [key, value] : beside)
      figures_[path + " by zone" + key] = value;
  }

  const Digits& digits_;
  Figures figures_;
};

/// Pairs of numbers or words that stand at one path, and by how many steps they differ.
struct Moved {
  std::string path, figure, was, is;
  double change = 0, steps = 0; ///< NaN for words
};

std::string last_word(const std::string& path) { return path.substr(path.rfind(' ') + 1); }

void hold(const std::string& path, const Json& was, const Json& is, const Digits& digits,
          std::vector<Moved>& moved) {
  const std::string figure = last_word(path);
  if (was.is_array() && is.is_array() && was.size() == is.size()) {
    for (std::size_t k = 0; k < was.size(); ++k)
      hold(path, was[k], is[k], digits, moved);
  } else if (was.is_object() && is.is_object()) {
    std::set<std::string> keys;
    for (const Json* side : {&was, &is})
      for (const auto& [key, value] : side->items())
        keys.insert(key);
    for (const std::string& key : keys)
      hold(key + ", " + path, was.value(key, Json()), is.value(key, Json()), digits, moved);
  } else if (was.is_number() && is.is_number()) {
    const double a = was.get<double>(), b = is.get<double>();
    const double steps = std::abs(b - a) / std::max(digits.step(figure, a), digits.step(figure, b));
    if (steps > 1.001)
      moved.push_back({path, figure, was.dump(), is.dump(), b - a, steps});
  } else if (was != is) {
    moved.push_back({path, figure, was.dump(), is.dump(), std::nan(""), std::nan("")});
  }
}

std::vector<Moved> compare(const Json& was, const Json& is, const Digits& digits) {
  std::vector<Moved> moved;
  hold("", was, is, digits, moved);
  return moved;
}

void tell(const std::string& stem, const std::vector<Moved>& moved) {
  for (const Moved& m : moved)
    std::cout << stem << ": " << m.path.substr(m.path.find(", ") == 0 ? 2 : 0) << ": " << m.was << " -> "
              << m.is << "\n";
}

/// One line for each figure: how many places moved, and by how much at most.
void summarise(const std::map<std::string, std::vector<Moved>>& by_case) {
  struct Sum {
    int count = 0;
    double most = 0;
    std::string where;
  };
  std::map<std::string, Sum> sums;
  for (const auto& [stem, moved] : by_case)
    for (const Moved& m : moved) {
      Sum& sum = sums[m.figure];
      ++sum.count;
      if (std::isnan(m.change) || std::abs(m.change) > std::abs(sum.most) || sum.where.empty()) {
        sum.most = std::isnan(m.change) ? sum.most : m.change;
        sum.where = stem + ", " + m.path.substr(0, m.path.rfind(' ')) + ": " + m.was + " -> " + m.is;
      }
    }
  std::cout << (sums.empty() ? "Nothing moved.\n" : "\nBy figure (places moved, most):\n");
  for (const auto& [figure, sum] : sums)
    std::cout << "  " << figure << ": " << sum.count << ", " << sum.where << "\n";
}

/// One figure a line.
void write(const fs::path& file, const Figures& figures) {
  std::ofstream out(file);
  const char* begin = "{\n";
  for (const auto& [path, value] : figures) {
    out << begin << Json(path).dump() << ": " << value.dump();
    begin = ",\n";
  }
  out << "\n}\n";
  if (!out.flush())
    throw std::runtime_error("cannot write " + file.string());
}

} // namespace

int main(int argc, char** argv) try {
  const std::vector<std::string> arguments(argv + 1, argv + argc);
  if (arguments.size() < 3 || (arguments[0] != "check" && arguments[0] != "update")) {
    std::cerr << "golden check|update PROGRAM CASE...\n";
    return 2;
  }
  const bool update = arguments[0] == "update";
  const fs::path folder = TQ_GOLDEN_DIR;
  const Json table = read(folder / "digits.json");
  std::map<std::string, std::vector<Moved>> by_case;
  for (std::size_t k = 2; k < arguments.size(); ++k) {
    const fs::path case_file = arguments[k], golden = folder / (case_file.stem().string() + ".json");
    const Json answers = compute(arguments[1], case_file);
    const Digits digits(table, answers.at("units"));
    const Figures figures = Collector(digits).of(answers);
    const bool frozen = fs::exists(golden);
    if (!frozen && !update)
      throw std::runtime_error("no golden figures of " + case_file.string() +
                               "; scripts/update-golden makes them");
    const std::vector<Moved> moved =
        frozen ? compare(read(golden), Json(figures), digits) : std::vector<Moved>{};
    tell(case_file.stem().string(), moved);
    if (!moved.empty())
      by_case[case_file.stem().string()] = moved;
    if (update && (!frozen || !moved.empty()))
      write(golden, figures);
  }
  if (update || !by_case.empty())
    summarise(by_case);
  if (!update && !by_case.empty())
    std::cout << "Meant? Then scripts/update-golden, and the commit message says why.\n";
  return !update && !by_case.empty() ? 1 : 0;
} catch (const std::exception& error) {
  std::cerr << "golden: " << error.what() << "\n";
  return 1;
}
