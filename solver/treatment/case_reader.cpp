#include "treatment/case_reader.hpp"

#include "records/read_coolant.hpp"
#include "records/read_foil.hpp"
#include "records/read_solid.hpp"
#include "records/read_steel.hpp"
#include "records/read_strains.hpp"
#include "records/read_uncertainty.hpp"
#include "steel/record_gaps.hpp"
#include "units/quantity.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace tq::treatment {
namespace {

using records::InputError;
using records::Node;
using records::Range;
using records::toml_string;

constexpr double minute = 60, hour = 3600;
/// Free water above this share sinks, flashes to steam and throws the oil out (from a gear-trade column: an
/// oil holds about 1000 ppm dissolved).
constexpr double most_water = 1e-3;

// Defaults of the shop; case_template() names each with its reason.
constexpr double bright = 0.35, scaled = 0.8;
constexpr double hot_droop_K = 10, hot_recovery_s = 4 * minute;
constexpr double muffle_convection_W_m2K = 12;
constexpr double still_oven_W_m2K = 10, fan_oven_W_m2K = 30;
constexpr double shop_bath_m3 = 8e-3;
constexpr double oil_bath_s = 60, oil_bath_in_foil_s = 180, water_bath_s = 20, air_bath_s = 20 * minute,
                 plates_s = 60, usual_move_s = 1, usual_plate_m = 25e-3, usual_overshoot_peak_s = 5 * minute,
                 usual_oxidising_s = 10 * minute, usual_interval_s = 5 * minute;
constexpr double slot_conductance_W_m2K = 150; ///< hot brick on a small gap of air: 50 to 350, no source
constexpr int most_blades = 50;

constexpr Range emissivity_range{0, 1};
constexpr Range any_temperature{-200, 1300};
constexpr Range furnace_temperature{20, 1300};
constexpr Range room_temperature{-50, 100};
constexpr Range convection_range{0, 1000};
constexpr Range long_time{0, 100 * hour};

constexpr std::array<const char*, face_count> face_keys = {"flank_a", "flank_b", "spine", "edge"};
const std::vector<std::string> zone_words = {"edge", "middle", "spine", "thickest"};
const std::vector<std::string> step_words = {"furnace", "air", "bath", "plates", "cold", "oven"};
const std::vector<std::string> stage_words = {"furnace", "transfer", "bath", "cool", "temper"};

/// Four significant digits with the unit, for the lines that people read.
std::string brief(double si, std::string_view dimension, std::string_view unit = {}) {
  const std::string exact = units::format_quantity(si, dimension, unit);
  const auto space = exact.find(' ');
  const double value = units::parse_number(exact.substr(0, space));
  if (value == 0 || space == std::string::npos)
    return exact;
  const double scale = std::pow(10.0, 3 - std::floor(std::log10(std::abs(value))));
  return units::format_number(std::round(value * scale) / scale) + exact.substr(space);
}

/// A time in the unit in which people say it.
std::string time_text(double s) {
  const char* unit = s >= 2 * hour && std::fmod(s, hour) == 0   ? "h"
                     : s >= minute && std::fmod(s, minute) == 0 ? "min"
                                                                : "s";
  return units::format_quantity(s, "time", unit);
}

std::string list(const std::vector<std::string>& words) {
  std::string out;
  for (const std::string& w : words)
    out += (out.empty() ? "" : ", ") + w;
  return out;
}

/// Writes the resolved case.
class Writer {
 public:
  void heading(std::string_view name) { text_ += "\n" + std::string(name) + "\n"; }
  void raw(std::string_view key, std::string_view value) {
    text_ += std::string(key) + " = " + std::string(value) + "\n";
  }
  void comment(std::string_view text) { text_ += "# " + std::string(text) + "\n"; }
  void text(std::string_view key, std::string_view value) { raw(key, toml_string(value)); }
  void flag(std::string_view key, bool value) { raw(key, value ? "true" : "false"); }
  void number(std::string_view key, double value) { raw(key, units::format_number(value)); }
  void time(std::string_view key, double s) { text(key, time_text(s)); }
  void value(std::string_view key, double si, std::string_view dimension, std::string_view unit = {}) {
    text(key, units::format_quantity(si, dimension, unit));
  }
  void values(std::string_view key, const std::vector<double>& si, std::string_view dimension) {
    std::string out = "[";
    for (double v : si)
      out += (out.size() > 1 ? ", " : "") + toml_string(units::format_quantity(v, dimension));
    raw(key, out + "]");
  }
  void optional(std::string_view key, double si, std::string_view dimension) {
    if (si > 0)
      value(key, si, dimension);
  }
  const std::string& str() const { return text_; }

 private:
  std::string text_;
};

class Reader {
 public:
  Reader(std::string_view text, std::string file, const RecordSource& records)
      : text_(text), root_(records::parse_document(text, std::move(file))), records_(records) {}

  Case read();

 private:
  void read_head();
  void read_stages();
  /// The list `[[step]]`, in place of stages and their tables.
  void read_steps();
  void read_step(const Node& node, Step& step);
  /// The table of a part: of the step that is read, else of the whole case.
  std::optional<Node> table(const std::string& name) const {
    return !root_.has("step") ? root_.optional_table(name) : here_ && name == part_ ? here_ : std::nullopt;
  }
  /// Heads the table of a part in the resolved case.
  void heading(const std::string& name) {
    if (!here_) {
      out_.heading("[" + name + "]");
      return;
    }
    out_.heading("[[step]]");
    out_.text("kind", kind_);
    out_.text("name", name_);
  }
  std::string inside(const std::string& name) const { return here_ ? "step" : name; }
  static Part part_of_kind(const Node& node);
  void read_blade();
  void read_raisers(const Node& blade);
  void read_station(const Node& node, std::size_t number);
  void read_start();
  void read_wrap();
  void read_surface();
  void read_furnace();
  void read_programme(const Node& node);
  void read_load(const Node& node);
  void read_support(const Node& node);
  void read_transfer();
  /// `[bath]` or `[second_bath]`, whose keys are the same.
  void read_bath(const std::string& name, Bath& b);
  void read_plates(const Node& bath, Bath& b);
  void read_leaving(const Node& bath, Bath& b, bool plain);
  void read_row(const Node& bath, Bath& b);
  void read_coat();
  void read_cool();
  void read_temper();
  void read_wishes();
  void read_wanted(const Node& node);
  void read_thresholds();
  void read_uncertainty();
  void read_probes();
  void read_output();
  void read_solver();
  void check_foil_service();

  /// The record's text by key or path, the override table (if any) laid on it.
  RecordText record(RecordKind kind, const Node* node, std::string_view key, const std::string& name,
                    std::string_view override_key);
  /// "bright", "scaled" or a bare number.
  double emissivity(const Node* node, std::string_view key, double otherwise) const;
  bool runs(Part part) const {
    return std::find(c_.stages.begin(), c_.stages.end(), part) != c_.stages.end();
  }
  Part first_stage() const { return c_.stages.front(); }
  /// Notes a default that matters when its stage runs.
  void assume(Part stage, std::string line) {
    if (runs(stage))
      c_.defaults.push_back(std::move(line));
  }

  std::string_view text_;
  Node root_;
  const RecordSource& records_;
  std::optional<Node> here_;       ///< the step that is read,
  std::string part_, kind_, name_; ///< the table it stands for, its kind and its name
  ShortCase c_;
  Writer out_;
};

void Reader::read_head() {
  const int format = root_.integer("format", {1, 1000});
  if (format != 1)
    root_.fail("format", std::to_string(format) + " is newer than this program; it reads format 1");
  c_.title = root_.text("title", "");
  c_.source_text = text_;
  out_.comment("A case with every default written out.");
  out_.number("format", 1);
  out_.text("title", c_.title);
}

void Reader::read_stages() {
  if (root_.has("step")) {
    for (const char* key : {"stages", "furnace", "transfer", "bath", "second_bath", "cool", "temper"})
      if (root_.has(key))
        root_.fail(key, "cannot stand beside [[step]], which lists all that happens to the blade");
    for (const Node& node : root_.tables("step"))
      c_.stages.push_back(part_of_kind(node));
    return;
  }
  const bool tempered = root_.has("temper");
  if (!root_.has("stages")) {
    c_.stages = {Part::furnace, Part::transfer, Part::bath, Part::cool};
    if (tempered)
      c_.stages.push_back(Part::temper);
  } else {
    int last = -1;
    for (const std::string& word : root_.texts("stages")) {
      const auto found = std::find(stage_words.begin(), stage_words.end(), word);
      if (found == stage_words.end()) {
        const std::string near = records::nearest(word, stage_words);
        root_.fail("stages", toml_string(word) + " is no stage; " +
                                 (near.empty() ? "" : "did you mean " + toml_string(near) + "? ") +
                                 "allowed: " + list(stage_words));
      }
      const int index = static_cast<int>(found - stage_words.begin());
      if (index <= last)
        root_.fail("stages",
                   toml_string(word) + " stands too late or twice; the order is " + list(stage_words));
      last = index;
      c_.stages.push_back(static_cast<Part>(index));
    }
    if (c_.stages.empty())
      root_.fail("stages", "names no stage; allowed: " + list(stage_words));
    if (runs(Part::temper) && !tempered)
      root_.fail("stages", "temper is asked for, but there is no [temper] with its oven temperature");
  }
  std::string words = "[";
  for (Part stage : c_.stages)
    words += (words.size() > 1 ? ", " : "") + toml_string(stage_words[static_cast<std::size_t>(stage)]);
  out_.raw("stages", words + "]");
}

Part Reader::part_of_kind(const Node& node) {
  const std::string kind = node.choice("kind", step_words, "");
  return kind == "furnace"                     ? Part::furnace
         : kind == "oven"                      ? Part::temper
         : kind == "bath" || kind == "plates"  ? Part::bath
         : kind == "air" && !node.has("until") ? Part::transfer
                                               : Part::cool;
}

void Reader::read_steps() {
  const std::vector<Node> nodes = root_.tables("step");
  for (const Node& node : nodes) {
    Step step;
    here_ = node;
    kind_ = node.text("kind");
    name_ = step.name = node.text("name", kind_);
    step.foil = c_.wrap.layers > 0; // on until it comes off
    read_step(node, step);
    const int count = kind_ == "oven" ? c_.temper.count : 1;
    for (int k = 1; k <= count; ++k) {
      c_.steps.push_back(step);
      if (count > 1)
        c_.steps.back().name += " " + std::to_string(k);
    }
  }
  here_.reset();
  const Hardening h = c_.hardening();
  for (std::size_t k = 0; k < c_.steps.size(); ++k)
    if (const Furnace* f = c_.steps[k].as<Furnace>(); f && !f->timer_s && k != h.furnace)
      root_.fail("step", "the furnace \"" + c_.steps[k].name +
                             "\" needs a timer: the program sets only that of the last hardening");
}

void Reader::read_step(const Node& node, Step& step) {
  const bool clay = c_.coat.has_value();
  if (kind_ == "furnace") {
    part_ = kind_;
    c_.furnace = {};
    read_furnace();
    check_foil_service();
    if (!c_.furnace.timer_s)
      c_.furnace.timer_s = own_end_s(c_.furnace);
    step.kind = c_.furnace;
    step.coat = clay;
  } else if (kind_ == "bath" || kind_ == "plates") {
    part_ = "bath";
    if ((kind_ == "plates") != node.has("plates"))
      node.fail("kind", kind_ == "bath" ? "is plates when it has [step.plates]"
                                        : "plates need their table [step.plates]");
    c_.bath = {};
    read_bath("bath", c_.bath);
    c_.bath.air_degC = c_.transfer.air_degC;
    c_.bath.air_convection_W_m2K = c_.transfer.convection_W_m2K;
    step.kind = c_.bath;
    step.foil = step.foil && c_.wrap.on_in_oil;
    step.coat = clay;
  } else if (kind_ == "oven") {
    part_ = "temper";
    c_.temper = {};
    read_temper();
    step.kind = static_cast<const Oven&>(c_.temper);
    step.foil = false;
  } else if (kind_ == "air") {
    Air air;
    air.air_degC = node.quantity("air", "temperature", room_temperature, 20.0);
    air.convection_W_m2K = node.quantity("convection", "heat_transfer_coefficient", {0, 1000, true}, 0.0);
    if (node.has("until")) {
      const double until = node.quantity("until", "temperature", {-50, 900});
      air.until_degC = std::max(until, air.air_degC + all_but_cold_K);
    }
    air.time_s = node.quantity("time", "time", {0, 100 * hour}, air.until_degC ? longest_cooling_s : 2.0);
    const bool in_foil = node.flag("in_foil", c_.wrap.on_in_oil || air.until_degC.has_value());
    c_.transfer.air_degC = air.air_degC;
    c_.transfer.convection_W_m2K = air.convection_W_m2K;
    heading("air");
    out_.value("air", air.air_degC, "temperature");
    out_.optional("convection", air.convection_W_m2K, "heat_transfer_coefficient");
    if (air.until_degC)
      out_.value("until", *air.until_degC, "temperature");
    out_.time("time", air.time_s);
    out_.flag("in_foil", in_foil);
    step.kind = air;
    step.foil = step.foil && in_foil;
    step.coat = clay && !air.until_degC;
  } else {
    Cold cold;
    cold.medium_degC = node.quantity("temperature", "temperature", {-200, 20});
    cold.wait_s = node.quantity("wait", "time", {0, 400 * hour}, 0.0);
    cold.hold_s = node.quantity("hold", "time", {0, 100 * hour}, 0.0);
    heading("cold");
    out_.value("temperature", cold.medium_degC, "temperature");
    out_.time("wait", cold.wait_s);
    out_.time("hold", cold.hold_s);
    step.kind = cold;
  }
}

RecordText Reader::record(RecordKind kind, const Node* node, std::string_view key, const std::string& name,
                          std::string_view override_key) {
  const Node& at = node ? *node : root_;
  std::optional<RecordText> found;
  if (is_record_path(name)) {
    found = records_.at_path(kind, name);
    if (!found)
      at.fail(key, toml_string(name) + " cannot be read; paths count from the folder of the case file");
  } else {
    found = records_.shipped(kind, name);
    if (!found) {
      const std::vector<std::string> known = records_.keys(kind);
      const std::string near = records::nearest(name, known);
      at.fail(key, toml_string(name) + " is no shipped " + record_kind_name(kind) + "; " +
                       (near.empty() ? "" : "did you mean " + toml_string(near) + "? ") +
                       "allowed: " + list(known) + ", or the path of your own record (.toml)");
    }
  }
  if (!override_key.empty() && at.has(override_key)) {
    at.table(override_key);
    at.accept(override_key);
    found->text =
        records::overlay(found->text, text_, root_.file(), at.path() + "." + std::string(override_key));
  }
  return *found;
}

double Reader::emissivity(const Node* node, std::string_view key, double otherwise) const {
  if (!node || !node->has(key))
    return otherwise;
  if (node->is_text(key))
    return node->choice(key, {"bright", "scaled"}) == "bright" ? bright : scaled;
  return node->number(key, emissivity_range);
}

void Reader::read_blade() {
  const Node blade = root_.table("blade");
  if (!blade.has("steel"))
    blade.fail("steel", "missing; allowed: " + list(records_.keys(RecordKind::steel)) +
                            ", or the path of your own record (.toml)");
  const std::string name = blade.text("steel");
  const auto phases_text = records_.shipped(RecordKind::phases, "phases");
  if (!phases_text)
    blade.fail("steel", "the shipped properties of the constituents (phases.toml) cannot be read");
  const records::Phases phases = records::read_phases(phases_text->text, phases_text->file);
  const RecordText steel = record(RecordKind::steel, &blade, "steel", name, "steel_override");
  c_.steel = records::read_steel(steel.text, steel.file, phases);
  const auto strains_text = records_.shipped(RecordKind::strains, "strains");
  if (!strains_text)
    blade.fail("steel", "the shipped strains of a quench (strains.toml) cannot be read");
  c_.strains = records::read_strains(strains_text->text, strains_text->file);

  c_.blade.length_m = blade.quantity("length", "length", {5e-3, 1});
  const std::string start =
      blade.choice("start", {"spheroidised", "annealed", "fine pearlite", "normalised"}, "spheroidised");
  const bool spheroidised = start == "spheroidised" || start == "annealed";
  c_.blade.start_state =
      spheroidised ? records::StartState::spheroidised : records::StartState::fine_pearlite;
  if (const std::size_t filled = steel::filled_values(c_.steel); filled > 0)
    assume(Part::furnace, std::to_string(filled) +
                              " values that the record of the steel does not give, by rules "
                              "with wide bands (thinquench stock --gaps " +
                              name + " lists them)");
  if (!blade.has("start") && !c_.steel.inert)
    assume(Part::furnace, "steel as bought: spheroidised (annealed bar)");

  out_.heading("[blade]");
  out_.text("steel", name);
  if (blade.has("steel_override"))
    out_.raw("steel_override", blade.written("steel_override"));
  out_.value("length", c_.blade.length_m, "length");
  out_.text("start", spheroidised ? "spheroidised" : "fine pearlite");
  read_raisers(blade);

  const std::vector<Node> stations = blade.tables("station");
  if (stations.empty())
    blade.fail("station", "missing; give at least one cross-section as [[blade.station]]");
  for (std::size_t i = 0; i < stations.size(); ++i)
    read_station(stations[i], i + 1);
}

/// What raises the stress at single places.
void Reader::read_raisers(const Node& blade) {
  Blade& b = c_.blade;
  b.notch_depth_m = blade.quantity("notch_depth", "length", {0, 0.1, true}, 0.0);
  if (b.notch_depth_m > 0) {
    if (!blade.has("notch_radius"))
      blade.fail("notch_radius", "missing; a notch needs the radius at its root, like \"1.5 mm\"");
    b.notch_radius_m = blade.quantity("notch_radius", "length", {1e-6, 0.5});
    out_.value("notch_depth", b.notch_depth_m, "length");
    out_.value("notch_radius", b.notch_radius_m, "length");
  } else if (blade.has("notch_radius")) {
    blade.fail("notch_radius", "belongs to a notch, but there is no notch_depth");
  }
  if (!blade.has("scratches"))
    return;
  const std::string way = blade.choice("scratches", {"lengthwise", "across"});
  b.scratches = way == "across" ? Scratches::across : Scratches::lengthwise;
  out_.text("scratches", way);
}

void Reader::read_station(const Node& node, std::size_t number) {
  Station station;
  station.name = node.text("name", "station " + std::to_string(number));
  for (const Station& other : c_.blade.stations)
    if (other.name == station.name)
      node.fail("name", toml_string(station.name) + " names two stations; give each its own name");
  out_.heading("[[blade.station]]");
  out_.text("name", station.name);

  const bool outline = node.has("outline"), caliper = node.has("caliper");
  if (outline && caliper)
    node.fail("caliper", "a section is given once: by outline or by caliper readings, not both");
  if (outline || caliper)
    for (const char* key : {"width", "spine", "edge", "grind", "bevel_height", "wheel_radius", "convex_bulge",
                            "false_edge_width", "false_edge_thickness"})
      if (node.has(key))
        node.fail(key, std::string("the section is given by its ") +
                           (outline ? "outline" : "caliper readings") + " already; leave this out");
  constexpr Range point{-1, 1}, size{0, 1}, real_size{0, 1, true};
  try {
    if (outline) {
      const Node points = node.table("outline");
      const auto x = points.quantities("x", "length", point), y = points.quantities("y", "length", point);
      if (x.size() != y.size())
        points.fail("y", "has " + std::to_string(y.size()) + " values, x has " + std::to_string(x.size()) +
                             "; give one of each per point");
      station.profile = section::profile_from_points(x, y);
      out_.heading("[blade.station.outline]");
      out_.values("x", x, "length");
      out_.values("y", y, "length");
    } else if (caliper) {
      const Node readings = node.table("caliper");
      const auto distance = readings.quantities("distance", "length", size),
                 thickness = readings.quantities("thickness", "length", real_size);
      if (distance.size() != thickness.size())
        readings.fail("thickness", "has " + std::to_string(thickness.size()) + " values, distance has " +
                                       std::to_string(distance.size()) + "; give one of each per reading");
      station.profile = section::profile_from_calipers(distance, thickness);
      out_.heading("[blade.station.caliper]");
      out_.values("distance", distance, "length");
      out_.values("thickness", thickness, "length");
    } else {
      section::GrindSpec spec;
      spec.width = node.quantity("width", "length", real_size);
      spec.spine = node.quantity("spine", "length", real_size);
      spec.edge = node.quantity("edge", "length", real_size);
      const std::vector<std::string> grinds = {"flat", "bevel", "hollow", "convex", "one-sided"};
      const std::string grind = node.choice("grind", grinds, "flat");
      spec.grind =
          static_cast<section::Grind>(std::find(grinds.begin(), grinds.end(), grind) - grinds.begin());
      if (!node.has("grind"))
        c_.defaults.push_back(station.name + ": flat grind from spine to edge");
      spec.bevel_height = node.quantity("bevel_height", "length", size, 0.0);
      if (spec.grind == section::Grind::bevel && !node.has("bevel_height"))
        node.fail("bevel_height", "missing; a bevel grind needs its height from the edge up, like \"12 mm\"");
      spec.wheel_radius = node.quantity("wheel_radius", "length", {0, 10}, 0.0);
      spec.convex_bulge = node.quantity("convex_bulge", "length", size, 0.0);
      spec.false_edge_width = node.quantity("false_edge_width", "length", size, 0.0);
      spec.false_edge_thickness = node.quantity("false_edge_thickness", "length", size, 0.0);
      if (spec.edge > spec.spine)
        node.fail("edge", "edge " + brief(spec.edge, "length") + " is thicker than the spine " +
                              brief(spec.spine, "length") + "; swapped? (an outline may have such a shape)");
      station.profile = section::profile_from_grind(spec);
      out_.value("width", spec.width, "length");
      out_.value("spine", spec.spine, "length");
      out_.value("edge", spec.edge, "length");
      out_.text("grind", grind);
      out_.optional("bevel_height", spec.bevel_height, "length");
      out_.optional("wheel_radius", spec.wheel_radius, "length");
      out_.optional("convex_bulge", spec.convex_bulge, "length");
      out_.optional("false_edge_width", spec.false_edge_width, "length");
      out_.optional("false_edge_thickness", spec.false_edge_thickness, "length");
    }
  } catch (const section::ProfileError& e) {
    const std::string reason = e.what();
    const std::string key = reason.substr(0, reason.find(' '));
    node.fail(outline ? "outline" : caliper ? "caliper" : node.line(key) != node.line("") ? key : "", reason);
  }
  c_.blade.stations.push_back(std::move(station));
}

void Reader::read_start() {
  const auto node = root_.optional_table("start");
  const Part first = first_stage();
  const bool cooling = first == Part::transfer || first == Part::bath || first == Part::cool;
  if (first != Part::furnace && (!node || !node->has("temperature")))
    (node ? *node : root_)
        .fail(node ? "temperature" : "start",
              "missing; the first stage is " + std::string(part_name(first)) +
                  ", so write the blade's temperature at its start: [start] temperature = \"800 degC\"");
  c_.start.temperature_degC =
      node ? node->quantity("temperature", "temperature", any_temperature, 20.0) : 20.0;
  c_.start.austenitised =
      node ? node->flag("austenitised", cooling && !c_.steel.inert) : cooling && !c_.steel.inert;
  if (c_.start.austenitised && (!cooling || c_.steel.inert))
    node->fail("austenitised", c_.steel.inert
                                   ? "an inert steel has no austenite"
                                   : "only a case that starts with transfer, bath or cool may start "
                                     "with austenite");
  out_.heading("[start]");
  out_.value("temperature", c_.start.temperature_degC, "temperature");
  out_.flag("austenitised", c_.start.austenitised);
}

void Reader::read_wrap() {
  const auto node = root_.optional_table("wrap");
  Wrap& w = c_.wrap;
  const std::string name = node ? node->text("foil", "stainless") : "none";
  if (!node)
    assume(Part::furnace, "the blade goes into the furnace bare, without foil");
  if (name == "none") {
    if (node) {
      for (const std::string& key : node->keys())
        if (key != "foil")
          node->fail(key, "belongs to a foil, but foil = \"none\"");
    }
    if (node || runs(Part::furnace)) {
      out_.heading("[wrap]");
      out_.text("foil", "none");
    }
    return;
  }
  const RecordText text = record(RecordKind::foil, &*node, "foil", name, "foil_override");
  w.foil = records::read_foil(text.text, text.file);
  w.layers = node->integer("layers", {1, 5}, 1);
  w.thickness_m = node->quantity("thickness", "length", {5e-6, 1e-3}, w.foil.thickness_m);
  const std::string fold = node->choice("fold", {"hand folded", "pressed"}, "hand folded");
  const double usual_gap = fold == "pressed" ? w.foil.gap_pressed_m : w.foil.gap_hand_folded_m;
  constexpr Range gap_range{0, 0.02};
  const double gap = node->quantity("gap", "length", gap_range, usual_gap);
  w.gap_m.fill(gap);
  std::string defaulted;
  const auto gaps = node->optional_table("gaps");
  for (std::size_t i = 0; i < face_keys.size(); ++i) {
    if (gaps)
      w.gap_m[i] = gaps->quantity(face_keys[i], "length", gap_range, gap);
    if (!node->has("gap") && !(gaps && gaps->has(face_keys[i])))
      defaulted += (defaulted.empty() ? "" : ", ") + std::string(face_keys[i]);
  }
  w.contact_fraction = node->number("contact_fraction", {0, 1}, w.foil.contact_fraction);
  w.contact_conductance_W_m2K = node->quantity("contact_conductance", "heat_transfer_coefficient", {0, 1e5},
                                               w.foil.contact_conductance_W_m2K);
  w.fixed_conductance_W_m2K =
      node->quantity("gap_conductance", "heat_transfer_coefficient", {0, 1e6, true}, 0.0);
  w.emissivity_outside = node->number("emissivity_outside", emissivity_range, w.foil.emissivity_outside);
  w.emissivity_inside = node->number("emissivity_inside", emissivity_range, w.foil.emissivity_inside);
  if (node->has("emissivity_oxidised"))
    w.emissivity_oxidised = node->number("emissivity_oxidised", emissivity_range);
  else if (node->has("oxidises_in"))
    node->fail("oxidises_in", "says how fast emissivity_oxidised is reached, but there is none");
  w.oxidises_in_s = node->quantity("oxidises_in", "time", {1, 100 * hour}, usual_oxidising_s);
  w.heat_capacity_J_m2K = node->quantity("heat_capacity", "areal_heat_capacity", {0, 1e5, true}, 0.0);
  const std::vector<std::string> gases = {"air", "nitrogen", "argon"};
  const std::string gas = node->choice("gas", gases, "air");
  w.gas = static_cast<surroundings::Gas>(std::find(gases.begin(), gases.end(), gas) - gases.begin());
  if (const auto patches = node->optional_table("contact_patches"))
    for (std::size_t i = 0; i < face_keys.size(); ++i)
      w.contact_patches[i] = patches->number(face_keys[i], {0, 1}, 0.0);
  w.on_in_oil = node->flag("in_oil", false);

  if (!defaulted.empty() && w.fixed_conductance_W_m2K == 0)
    c_.defaults.push_back("foil gap " + brief(usual_gap, "length", usual_gap < 1e-4 ? "um" : "mm") + " on " +
                          (gaps ? defaulted : "all faces") + " (" + fold + "), a factor " +
                          units::format_number(w.foil.gap_factor) + " either way");
  if (!node->has("emissivity_outside"))
    assume(Part::furnace, "foil emissivity " + units::format_number(w.emissivity_outside) + " outside, " +
                              units::format_number(w.emissivity_inside) + " inside");
  if (w.emissivity_oxidised && !node->has("oxidises_in"))
    assume(Part::furnace, "the foil oxidises with a time constant of " + time_text(w.oxidises_in_s) +
                              " (bright to brown in 10 to 20 min at 800 degC, common practice)");
  if (!node->has("in_oil"))
    assume(Part::bath, "the foil comes off before the bath");

  out_.heading("[wrap]");
  out_.text("foil", name);
  if (node->has("foil_override"))
    out_.raw("foil_override", node->written("foil_override"));
  out_.number("layers", w.layers);
  out_.value("thickness", w.thickness_m, "length");
  out_.text("fold", fold);
  out_.value("gap", gap, "length");
  if (w.fixed_conductance_W_m2K > 0)
    out_.value("gap_conductance", w.fixed_conductance_W_m2K, "heat_transfer_coefficient");
  out_.number("contact_fraction", w.contact_fraction);
  out_.value("contact_conductance", w.contact_conductance_W_m2K, "heat_transfer_coefficient");
  out_.number("emissivity_outside", w.emissivity_outside);
  out_.number("emissivity_inside", w.emissivity_inside);
  if (w.emissivity_oxidised) {
    out_.number("emissivity_oxidised", *w.emissivity_oxidised);
    out_.time("oxidises_in", w.oxidises_in_s);
  }
  if (w.heat_capacity_J_m2K > 0)
    out_.value("heat_capacity", w.heat_capacity_J_m2K, "areal_heat_capacity");
  out_.text("gas", gas);
  out_.flag("in_oil", w.on_in_oil);
  std::string faces;
  for (std::size_t i = 0; i < face_keys.size(); ++i)
    faces += (i ? ", " : "{ ") + std::string(face_keys[i]) + " = " +
             toml_string(units::format_quantity(w.gap_m[i], "length"));
  out_.raw("gaps", faces + " }");
  faces.clear();
  for (std::size_t i = 0; i < face_keys.size(); ++i)
    faces +=
        (i ? ", " : "{ ") + std::string(face_keys[i]) + " = " + units::format_number(w.contact_patches[i]);
  out_.raw("contact_patches", faces + " }");
}

void Reader::read_surface() {
  const auto node = root_.optional_table("surface");
  const Node* at = node ? &*node : nullptr;
  const bool scales = c_.wrap.layers == 0 && runs(Part::furnace);
  SurfaceState& s = c_.surface;
  s.emissivity_air = emissivity(at, "air", scales ? scaled : bright);
  s.emissivity_furnace = emissivity(at, "furnace", scaled);
  s.emissivity_in_foil = emissivity(at, "in_foil", 0.4);
  s.painted = at && at->choice("paint", {"none", "anti-scale"}, "none") == "anti-scale";
  if (!at || !at->has("air"))
    assume(Part::transfer, scales ? "steel scaled in the air, emissivity 0.8 (it was bare in the furnace)"
                                  : "steel bright in the air, emissivity 0.35");
  if (scales && (!at || !at->has("furnace")))
    assume(Part::furnace, "bare steel in the furnace has emissivity 0.8 (scaled)");
  out_.heading("[surface]");
  out_.number("air", s.emissivity_air);
  out_.number("furnace", s.emissivity_furnace);
  out_.number("in_foil", s.emissivity_in_foil);
  out_.text("paint", s.painted ? "anti-scale" : "none");
}

void Reader::read_programme(const Node& node) {
  const std::vector<Node> lines = node.tables("programme");
  if (lines.empty())
    node.fail("programme", "a cold load needs at least one [[furnace.programme]] line with target, rate and "
                           "hold");
  for (const Node& line : lines) {
    surroundings::ProgrammeStep step;
    step.target_degC = line.quantity("target", "temperature", furnace_temperature);
    step.rate_K_s = line.quantity("rate", "heating_rate", {0, 10, true}, 0.0);
    step.hold_s = line.quantity("hold", "time", long_time, 0.0);
    c_.furnace.programme.push_back(step);
  }
  const double last = c_.furnace.programme.back().target_degC;
  c_.furnace.setpoint_degC = node.quantity("setpoint", "temperature", furnace_temperature, last);
  if (std::abs(c_.furnace.setpoint_degC - last) > 1e-6)
    node.fail("setpoint", brief(c_.furnace.setpoint_degC, "temperature") +
                              " is not the last target of the "
                              "programme, " +
                              brief(last, "temperature") + "; leave it out or make them the same");
}

void Reader::read_furnace() {
  const auto node = table("furnace");
  Furnace& f = c_.furnace;
  f.start_degC = c_.start.temperature_degC;
  f.convection_W_m2K = muffle_convection_W_m2K;
  if (!node && !runs(Part::furnace))
    return;
  const Node at = node ? *node : root_;
  const auto given = [&](std::string_view key) { return node && node->has(key); };
  const bool programme = given("programme");
  const std::string loading =
      node ? node->choice("loading", {"hot", "cold"}, programme ? "cold" : "hot") : "hot";
  f.loading = loading == "hot" ? Loading::hot : Loading::cold;
  const auto& hardening = c_.steel.austenitising;
  if (f.loading == Loading::cold) {
    read_programme(at);
    for (const char* key : {"droop", "recovery"})
      if (given(key))
        at.fail(key, "belongs to a hot load; here the load is cold");
  } else {
    if (programme)
      at.fail("programme", "belongs to loading = \"cold\"; a hot load needs only the setpoint");
    const bool usual = hardening.hardening_to_degC > 0;
    if (!given("setpoint") && !usual)
      at.fail(node ? "setpoint" : "furnace",
              "missing; an inert steel has no usual hardening temperature, write setpoint = \"800 degC\"");
    const double middle = 0.5 * (hardening.hardening_from_degC + hardening.hardening_to_degC);
    f.setpoint_degC = node ? at.quantity("setpoint", "temperature", furnace_temperature, middle) : middle;
    if (!given("setpoint"))
      assume(Part::furnace, "set point " + brief(middle, "temperature") + ", the middle of the usual " +
                                brief(hardening.hardening_from_degC, "temperature") + " to " +
                                brief(hardening.hardening_to_degC, "temperature") + " of " + c_.steel.key);
    f.droop_K = node ? at.quantity("droop", "temperature_difference", {0, 400}, hot_droop_K) : hot_droop_K;
    f.recovery_s = node ? at.quantity("recovery", "time", {0, 10 * hour}, hot_recovery_s) : hot_recovery_s;
    if (f.droop_K > 0 && f.recovery_s == 0)
      at.fail("recovery", "a furnace that droops needs a time to recover, more than 0 s");
    if (!given("droop")) {
      const int blades = given("blades") ? at.integer("blades", {1, most_blades}, 1) : 1;
      f.droop_K = std::min(hot_droop_K * blades, 400.0);
    }
    if (!given("droop"))
      assume(Part::furnace, "the furnace droops " + brief(f.droop_K, "temperature_difference") +
                                " on loading and recovers in " + time_text(f.recovery_s) +
                                " (common practice)");
  }
  f.timer_s = node ? at.optional_quantity("timer", "time", {0, 100 * hour, true}) : std::nullopt;
  const std::string from = node ? at.choice("timer_from", {"door", "recovery"}, "door") : "door";
  f.timer_start = from == "door" ? TimerStart::door : TimerStart::recovery;
  if (node) {
    f.reading_offset_K = at.quantity("reading_offset", "temperature_difference", {-200, 200}, 0.0);
    f.wall_emissivity = at.number("wall_emissivity", {0.05, 1}, f.wall_emissivity);
    f.convection_W_m2K =
        at.quantity("convection", "heat_transfer_coefficient", convection_range, f.convection_W_m2K);
    f.overshoot_K = at.quantity("overshoot", "temperature_difference", {0, 200}, 0.0);
    f.overshoot_peak_s = at.quantity("overshoot_peak", "time", {1, hour}, usual_overshoot_peak_s);
    read_load(at);
  }

  heading("furnace");
  out_.text("loading", loading);
  out_.value("setpoint", f.setpoint_degC, "temperature");
  if (f.timer_s)
    out_.time("timer", *f.timer_s);
  else
    out_.comment("timer: set by the program from the asked soak");
  out_.text("timer_from", from);
  if (f.loading == Loading::hot) {
    out_.value("droop", f.droop_K, "temperature_difference");
    out_.time("recovery", f.recovery_s);
  }
  out_.value("reading_offset", f.reading_offset_K, "temperature_difference");
  out_.number("wall_emissivity", f.wall_emissivity);
  out_.value("convection", f.convection_W_m2K, "heat_transfer_coefficient");
  if (f.overshoot_K > 0) {
    out_.value("overshoot", f.overshoot_K, "temperature_difference");
    out_.time("overshoot_peak", f.overshoot_peak_s);
  }
  if (f.blades > 1) {
    out_.number("blades", f.blades);
    out_.value("spacing", f.spacing_m, "length");
  }
  if (node)
    read_support(*node);
  for (const auto& step : f.programme) {
    out_.heading("[[" + inside("furnace") + ".programme]]");
    out_.value("target", step.target_degC, "temperature");
    if (step.rate_K_s > 0)
      out_.value("rate", step.rate_K_s, "heating_rate");
    out_.time("hold", step.hold_s);
  }
}

void Reader::read_load(const Node& node) {
  Furnace& f = c_.furnace;
  f.blades = node.integer("blades", {1, most_blades}, 1);
  if (f.blades == 1) {
    if (node.has("spacing"))
      node.fail("spacing", "lies between blades, but blades = 1");
    return;
  }
  if (!node.has("spacing"))
    node.fail("spacing", "missing; several blades shade one another, write the distance between facing "
                         "flanks, like \"30 mm\"");
  f.spacing_m = node.quantity("spacing", "length", {1e-3, 1});
}

void Reader::read_support(const Node& node) {
  const auto at = node.optional_table("support");
  if (!at)
    return;
  Support support;
  const std::string face = at->choice("face", {"spine", "edge"}, "spine");
  support.face = face == "spine" ? spine_face : edge_face;
  support.depth_m = at->quantity("depth", "length", {0, 0.05}, 0.0);
  support.conductance_W_m2K =
      at->quantity("conductance", "heat_transfer_coefficient", {0, 1e4}, slot_conductance_W_m2K);
  support.cooler_K = at->quantity("cooler", "temperature_difference", {0, 500}, 0.0);
  for (const Station& station : c_.blade.stations)
    if (support.depth_m >= station.profile.width())
      at->fail("depth", brief(support.depth_m, "length") + " swallows the whole width of " + station.name +
                            ", " + brief(station.profile.width(), "length"));
  if (!at->has("conductance"))
    assume(Part::furnace, "brick and blade exchange " +
                              brief(support.conductance_W_m2K, "heat_transfer_coefficient") +
                              " in the slot (50 to 350, no source)");
  out_.heading("[" + inside("furnace") + ".support]");
  out_.text("face", face);
  out_.value("depth", support.depth_m, "length");
  out_.value("conductance", support.conductance_W_m2K, "heat_transfer_coefficient");
  out_.value("cooler", support.cooler_K, "temperature_difference");
  c_.furnace.support = support;
}

void Reader::check_foil_service() {
  if (c_.wrap.layers == 0 || !runs(Part::furnace))
    return;
  double hottest = c_.furnace.setpoint_degC;
  for (const auto& step : c_.furnace.programme)
    hottest = std::max(hottest, step.target_degC);
  hottest += c_.furnace.reading_offset_K + c_.furnace.overshoot_K;
  if (c_.wrap.foil.service_limit_degC > 0 && hottest > c_.wrap.foil.service_limit_degC)
    root_.table("wrap").fail("foil", "the furnace reaches " + brief(hottest, "temperature") +
                                         ", above the limit of this foil, " +
                                         brief(c_.wrap.foil.service_limit_degC, "temperature"));
}

void Reader::read_transfer() {
  const auto node = table("transfer");
  Transfer& t = c_.transfer;
  t.in_foil = c_.wrap.on_in_oil;
  if (node) {
    t.time_s = node->quantity("time", "time", {0, hour}, t.time_s);
    t.in_foil = node->flag("in_foil", t.in_foil);
    t.air_degC = node->quantity("air", "temperature", room_temperature, t.air_degC);
    t.convection_W_m2K = node->quantity("convection", "heat_transfer_coefficient", {0, 1000, true}, 0.0);
    if (t.in_foil && c_.wrap.layers == 0)
      node->fail("in_foil", "true, but the blade has no foil ([wrap] foil)");
    if (!t.in_foil && c_.wrap.on_in_oil)
      node->fail("in_foil", "false, but the foil stays on in the oil (wrap.in_oil = true)");
  }
  if (!node || !node->has("time"))
    assume(Part::transfer, brief(t.time_s, "time") + " from the furnace to the bath");
  if (!node && !runs(Part::transfer))
    return;
  heading("transfer");
  out_.time("time", t.time_s);
  out_.flag("in_foil", t.in_foil);
  out_.value("air", t.air_degC, "temperature");
  out_.optional("convection", t.convection_W_m2K, "heat_transfer_coefficient");
}

void Reader::read_bath(const std::string& named, Bath& b) {
  const auto node = table(named);
  if (!node && !runs(Part::bath))
    return;
  const bool second = named == "second_bath";
  if (second && !runs(Part::bath))
    node->fail("", "follows the bath, which is not among the stages");
  const std::string which = second ? "second bath: " : "";
  const bool plates = node && node->has("plates");
  const auto given = [&](std::string_view key) { return node && node->has(key); };
  b.fixed_htc_W_m2K = node ? node->quantity("htc", "heat_transfer_coefficient", {0, 1e6, true}, 0.0) : 0.0;
  const bool plain = b.fixed_htc_W_m2K > 0 && !given("coolant") && !plates;
  const std::string name = node ? node->text("coolant", "medium-oil") : "medium-oil";
  records::CoolantRecord& coolant = b.coolant;
  if (plates) {
    read_plates(*node, b);
  } else if (plain) {
    coolant.key = "constant";
    coolant.name = "constant heat transfer coefficient";
    coolant.kind = records::CoolantKind::water; // a bath without flash point
    coolant.htc_W_m2K = {{0}, {b.fixed_htc_W_m2K}, records::Interpolation::linear};
    for (const char* key : {"coolant_override", "agitation"})
      if (given(key))
        node->fail(key, "belongs to a coolant, but htc stands alone without one");
  } else {
    const RecordText text =
        record(RecordKind::coolant, node ? &*node : nullptr, "coolant", name, "coolant_override");
    coolant = records::read_coolant(text.text, text.file);
    if (coolant.htc_kind ==
        records::HtcKind::lumped) // never one for the other: they differ by a factor of two
      node->fail("coolant", "'" + name +
                                "' holds a lumped table (over the temperature of a probe's centre); a "
                                "local one is needed: make it with thinquench oil --lumped " +
                                text.file + " --out local.toml");
    if (!given("coolant"))
      assume(Part::bath, which + "quenched in " + coolant.name);
  }

  const bool window = coolant.recommended_to_degC > coolant.recommended_from_degC;
  const double usual = window ? 0.5 * (coolant.recommended_from_degC + coolant.recommended_to_degC)
                       : plain || coolant.htc_W_m2K.empty() ? 20.0
                                                            : coolant.table_bath_degC;
  b.temperature_degC = node ? node->quantity("temperature", "temperature", {-100, 700}, usual) : usual;
  if (!given("temperature"))
    assume(Part::bath,
           which + (plates ? "plates at " : "bath at ") + brief(usual, "temperature") +
               (window ? ", the middle of its usual " + brief(coolant.recommended_from_degC, "temperature") +
                             " to " + brief(coolant.recommended_to_degC, "temperature")
                       : std::string()));
  const Node at = node ? *node : root_;
  const std::string_view temperature_key = given("temperature") ? "temperature" : "";
  if (!plain && !plates) {
    const double T = b.temperature_degC;
    if (coolant.flash_degC && T >= *coolant.flash_degC)
      at.fail(temperature_key, brief(T, "temperature") + " is at or above the flash point of this oil, " +
                                   brief(*coolant.flash_degC, "temperature") + "; it would burn");
    if (coolant.kind == records::CoolantKind::water && (T < 0 || T > 100))
      at.fail(temperature_key, brief(T, "temperature") + " is no liquid water; allowed: 0 degC to 100 degC");
    if (coolant.kind == records::CoolantKind::oil && T < -10)
      at.fail(temperature_key, brief(T, "temperature") + " is too cold for an oil to be liquid; allowed: "
                                                         "-10 degC to its flash point");
  }
  const double blade = runs(Part::furnace) ? c_.furnace.setpoint_degC + c_.furnace.reading_offset_K
                                           : c_.start.temperature_degC;
  if (runs(Part::bath) && !second && b.temperature_degC >= blade)
    at.fail(temperature_key, "the bath at " + brief(b.temperature_degC, "temperature") +
                                 " is not colder than the blade, " + brief(blade, "temperature"));

  const bool air = !plain && !plates && coolant.kind == records::CoolantKind::air;
  bool large = plain || air || plates;
  if (given("volume")) {
    large = node->text("volume") == "large";
    if (!large) {
      if (plain || air || plates)
        node->fail("volume", plates ? "plates have no volume; write plates.thickness"
                             : plain
                                 ? "htc stands alone without a coolant, so the bath stays at its temperature"
                                 : "air has no volume here; leave it out");
      b.volume_m3 = node->quantity("volume", "volume", {1e-4, 100});
    }
  } else if (!large) {
    b.volume_m3 = shop_bath_m3;
    assume(Part::bath, which + "bath of " + brief(b.volume_m3, "volume"));
  }
  b.agitation_m_s = node && !plain && !plates ? node->quantity("agitation", "velocity", {0, 5}, 0.0) : 0.0;
  if (!given("agitation") && !plain && !air && !plates)
    assume(Part::bath, which + "bath and blade not moved");
  const double usual_time = plates ? plates_s
                            : plain || coolant.kind == records::CoolantKind::oil
                                ? (c_.wrap.on_in_oil ? oil_bath_in_foil_s : oil_bath_s)
                            : air ? air_bath_s
                                  : water_bath_s;
  b.time_s = node ? node->quantity("time", "time", {0, 100 * hour, true}, usual_time) : usual_time;
  if (!given("time"))
    assume(Part::bath, which + time_text(usual_time) + (plates ? " between the plates" : " in the bath"));

  heading(named);
  if (!plain && !plates) {
    out_.text("coolant", name);
    if (given("coolant_override"))
      out_.raw("coolant_override", node->written("coolant_override"));
  }
  out_.optional("htc", b.fixed_htc_W_m2K, "heat_transfer_coefficient");
  out_.value("temperature", b.temperature_degC, "temperature");
  if (large && !plates)
    out_.text("volume", "large");
  else if (!plates)
    out_.value("volume", b.volume_m3, "volume");
  if (!plain && !plates)
    out_.value("agitation", b.agitation_m_s, "velocity");
  out_.time("time", b.time_s);
  if (node && second)
    b.move_s = node->quantity("move", "time", {0, 600}, usual_move_s);
  if (second)
    out_.time("move", b.move_s);
  if (node) {
    read_leaving(*node, b, plates || air);
    read_row(*node, b);
  }
  if (plates) {
    out_.heading("[" + inside(named) + ".plates]");
    out_.text("metal", b.plates->metal.key);
    out_.value("thickness", b.plates->thickness_m, "length");
    out_.value("contact", b.plates->contact_W_m2K[0], "heat_transfer_coefficient");
    out_.value("contact_b", b.plates->contact_W_m2K[1], "heat_transfer_coefficient");
  }
}

void Reader::read_plates(const Node& bath, Bath& b) {
  for (const char* key : {"coolant", "coolant_override", "htc", "agitation"})
    if (bath.has(key))
      bath.fail(key, "belongs to a liquid; with [" + std::string(bath.path()) + ".plates] there is none");
  const Node node = bath.table("plates");
  Plates plates;
  const std::string name = node.text("metal", "aluminium");
  const RecordText text = record(RecordKind::solid, &node, "metal", name, {});
  plates.metal = records::read_solid(text.text, text.file);
  plates.metal.key = name;
  if (!node.has("contact") && plates.metal.contact_W_m2K <= 0)
    node.fail("contact", "missing; the record of " + plates.metal.name +
                             " has no usual one, write "
                             "contact = \"1500 W/(m2 K)\"");
  plates.thickness_m = node.quantity("thickness", "length", {1e-3, 0.3}, usual_plate_m);
  constexpr Range contact{1, 1e7};
  const double usual = plates.metal.contact_W_m2K > 0 ? plates.metal.contact_W_m2K : 1.0;
  plates.contact_W_m2K[0] = node.quantity("contact", "heat_transfer_coefficient", contact, usual);
  plates.contact_W_m2K[1] =
      node.quantity("contact_b", "heat_transfer_coefficient", contact, plates.contact_W_m2K[0]);
  if (!node.has("contact"))
    assume(Part::bath, "contact with the plates " + brief(usual, "heat_transfer_coefficient") +
                           ", a factor " + units::format_number(plates.metal.contact_factor) + " either way");
  b.coolant.key = plates.metal.key;
  b.coolant.name = plates.metal.name;
  b.coolant.description = plates.metal.description;
  b.coolant.kind = records::CoolantKind::air; // no liquid: nothing burns, spits or warms
  b.coolant.provenance = plates.metal.provenance;
  b.plates = std::move(plates);
}

/// When and how far the blade is in the bath.
void Reader::read_leaving(const Node& bath, Bath& b, bool dry) {
  if (dry)
    for (const char* key : {"immersion", "wetting_delay", "wetting_speed", "flank_delay", "flank_cooling"})
      if (bath.has(key))
        bath.fail(key, "belongs to a liquid; there is none here");
  if (bath.has("out_at")) {
    b.out_at_degC = bath.quantity("out_at", "temperature", {-50, 900});
    if (*b.out_at_degC <= b.temperature_degC)
      bath.fail("out_at", brief(*b.out_at_degC, "temperature") + " is not above the bath, " +
                              brief(b.temperature_degC, "temperature") + "; the blade would never reach it");
    const std::vector<std::string> places = {"surface", "inside", "edge", "spine"};
    const std::string where = bath.choice("out_where", places, "surface");
    b.out_where = static_cast<LiftPlace>(std::find(places.begin(), places.end(), where) - places.begin());
    out_.value("out_at", *b.out_at_degC, "temperature");
    out_.text("out_where", where);
  } else if (bath.has("out_where")) {
    bath.fail("out_where", "says where out_at is measured, but there is no out_at");
  }
  b.immersion_m = bath.quantity("immersion", "length", {0, 1, true}, 0.0);
  b.wetting_delay_s = bath.quantity("wetting_delay", "time", {0, 60}, 0.0);
  b.wetting_speed_m_s = bath.quantity("wetting_speed", "velocity", {1e-4, 10}, 0.0);
  if (b.immersion_m > 0 && (b.wetting_delay_s > 0 || b.wetting_speed_m_s > 0))
    bath.fail("immersion",
              "cannot stand together with wetting_delay or wetting_speed; leave one of them out");
  b.flank_delay_s = bath.quantity("flank_delay", "time", {-60, 60}, 0.0);
  b.flank_cooling = bath.number("flank_cooling", {0.05, 20}, 1.0);
  if (b.flank_delay_s != 0 && (b.immersion_m > 0 || b.wetting_delay_s > 0 || b.wetting_speed_m_s > 0))
    bath.fail("flank_delay",
              "cannot stand together with immersion, wetting_delay or wetting_speed; leave one of them out");
  if (b.flank_delay_s != 0)
    out_.time("flank_delay", b.flank_delay_s);
  if (b.flank_cooling != 1)
    out_.number("flank_cooling", b.flank_cooling);
  out_.optional("immersion", b.immersion_m, "length");
  if (b.wetting_delay_s > 0)
    out_.time("wetting_delay", b.wetting_delay_s);
  out_.optional("wetting_speed", b.wetting_speed_m_s, "velocity");
}

/// Blade after blade through the same bath, and what may be in it.
void Reader::read_row(const Node& bath, Bath& b) {
  b.blades = bath.integer("blades", {1, most_blades}, 1);
  if (b.blades == 1) {
    if (bath.has("interval"))
      bath.fail("interval", "lies between blades, but blades = 1");
  } else {
    if (b.volume_m3 <= 0)
      bath.fail("blades", "warm a bath of finite volume only; write volume = \"8 L\" or leave blades out");
    b.interval_s = bath.quantity("interval", "time", {0, 24 * hour}, usual_interval_s);
    if (!bath.has("interval"))
      assume(Part::bath, time_text(b.interval_s) + " from one blade of the row to the next");
    out_.number("blades", b.blades);
    out_.time("interval", b.interval_s);
  }
  if (!bath.has("water"))
    return;
  if (b.coolant.kind != records::CoolantKind::oil)
    bath.fail("water", "is what was found in an oil; this bath is none");
  b.water = bath.quantity("water", "percent", {0, 1});
  if (b.water > most_water)
    bath.fail("water", brief(b.water, "percent") + " is free water: it sinks, flashes to steam and throws "
                                                   "the hot oil out; allowed: 0 % to 0.1 %, replace the oil");
  out_.value("water", b.water, "percent");
}

void Reader::read_coat() {
  const auto node = root_.optional_table("coat");
  if (!node)
    return;
  if (c_.wrap.layers > 0)
    node->fail("", "clay goes on bare steel; leave out [wrap] or write wrap.foil = \"none\"");
  Coat coat;
  const std::string name = node->text("material", "clay");
  const RecordText text = record(RecordKind::solid, &*node, "material", name, {});
  coat.solid = records::read_solid(text.text, text.file);
  constexpr Range size{0, 0.02};
  coat.distance_m = node->quantities("distance", "length", {0, 1});
  coat.thickness_m = node->quantities("thickness", "length", size);
  if (coat.distance_m.size() != coat.thickness_m.size())
    node->fail("thickness", "has " + std::to_string(coat.thickness_m.size()) + " values, distance has " +
                                std::to_string(coat.distance_m.size()) + "; give one of each");
  for (std::size_t n = 1; n < coat.distance_m.size(); ++n)
    if (coat.distance_m[n] <= coat.distance_m[n - 1])
      node->fail("distance", "must ascend from the spine: " + brief(coat.distance_m[n], "length") +
                                 " follows " + brief(coat.distance_m[n - 1], "length"));
  coat.spine_m = node->quantity("spine", "length", size, 0.0);
  coat.edge_m = node->quantity("edge", "length", size, 0.0);
  out_.heading("[coat]");
  out_.text("material", name);
  out_.values("distance", coat.distance_m, "length");
  out_.values("thickness", coat.thickness_m, "length");
  out_.value("spine", coat.spine_m, "length");
  out_.value("edge", coat.edge_m, "length");
  c_.coat = std::move(coat);
}

void Reader::read_cool() {
  const auto node = table("cool");
  Cool& k = c_.cool;
  if (node) {
    k.air_degC = node->quantity("air", "temperature", room_temperature, k.air_degC);
    k.convection_W_m2K = node->quantity("convection", "heat_transfer_coefficient", {0, 1000, true}, 0.0);
    k.lowest_degC = node->quantity("lowest", "temperature", {-200, 300}, k.air_degC);
    k.wait_s = node->quantity("wait", "time", {0, 400 * hour}, 0.0);
    if (k.wait_s > 0 && k.lowest_degC >= k.air_degC)
      node->fail("wait", "is the time before cooling below the air, so `lowest` must lie below `air`");
  }
  if (!node || !node->has("lowest"))
    assume(Part::cool, "cooled to " + brief(k.lowest_degC, "temperature") + " before tempering");
  if (!node && !runs(Part::cool))
    return;
  heading("cool");
  out_.value("air", k.air_degC, "temperature");
  out_.optional("convection", k.convection_W_m2K, "heat_transfer_coefficient");
  out_.value("lowest", k.lowest_degC, "temperature");
  if (k.wait_s > 0)
    out_.time("wait", k.wait_s);
}

void Reader::read_temper() {
  const auto node = table("temper");
  if (!node)
    return;
  Temper& t = c_.temper;
  t.oven_degC = node->quantity("oven", "temperature", {50, 750});
  t.time_s = node->quantity("time", "time", {0, 100 * hour, true}, 2 * hour);
  t.count = node->integer("count", {1, 20}, 2);
  const std::string kind = !here_                     ? node->choice("kind", {"still", "fan"}, "still")
                           : node->flag("fan", false) ? "fan" // of a step, kind says what step it is
                                                      : "still";
  t.kind = kind == "fan" ? OvenKind::fan : OvenKind::still;
  if (node->has("delay"))
    t.delay_s = node->quantity("delay", "time", {0, 10000 * hour});
  t.swing_K = node->quantity("swing", "temperature_difference", {0, 200}, 0.0);
  t.swing_period_s = node->quantity("swing_period", "time", {1, 10 * hour}, t.swing_period_s);
  t.edge_extra_K = node->quantity("edge_extra", "temperature_difference", {0, 200}, 0.0);
  t.convection_W_m2K = node->quantity("convection", "heat_transfer_coefficient", {0, 1000, true},
                                      t.kind == OvenKind::fan ? fan_oven_W_m2K : still_oven_W_m2K);
  t.emissivity = emissivity(&*node, "emissivity", bright);
  if (!node->has("time") || !node->has("count"))
    assume(Part::temper, "tempered " + std::to_string(t.count) + " x " + time_text(t.time_s));
  if (!node->has(here_ ? "fan" : "kind") && !node->has("convection"))
    assume(Part::temper, "tempering oven without a fan");
  if (!node->has("swing"))
    assume(Part::temper, "the oven holds its set point without swing");
  heading("temper");
  out_.value("oven", t.oven_degC, "temperature");
  out_.time("time", t.time_s);
  out_.number("count", t.count);
  if (here_)
    out_.flag("fan", t.kind == OvenKind::fan);
  else
    out_.text("kind", kind);
  if (t.delay_s)
    out_.time("delay", *t.delay_s);
  out_.value("swing", t.swing_K, "temperature_difference");
  out_.time("swing_period", t.swing_period_s);
  out_.value("edge_extra", t.edge_extra_K, "temperature_difference");
  out_.value("convection", t.convection_W_m2K, "heat_transfer_coefficient");
  out_.number("emissivity", t.emissivity);
}

/// Which zones are to harden, which to stay soft.
void Reader::read_wanted(const Node& node) {
  auto& zones = c_.wishes.zones;
  const auto named = [&](const char* key, Wanted wanted) {
    for (const std::string& word : node.texts(key)) {
      const auto at = std::find(zone_words.begin(), zone_words.end(), word);
      if (at == zone_words.end())
        node.fail(key, toml_string(word) + " is no zone; allowed: " + list(zone_words));
      Wanted& zone = zones[static_cast<std::size_t>(at - zone_words.begin())];
      if (wanted == Wanted::soft && node.has("harden") && zone == Wanted::hard)
        node.fail(key, toml_string(word) + " stands under harden as well; a zone is one or the other");
      zone = wanted;
    }
  };
  if (node.has("harden")) {
    zones.fill(Wanted::either);
    named("harden", Wanted::hard);
  }
  if (node.has("soft"))
    named("soft", Wanted::soft);
  if (std::none_of(zones.begin(), zones.end(), [](Wanted w) { return w == Wanted::hard; }))
    node.fail(node.has("harden") ? "harden" : "soft",
              "leaves no zone to harden; allowed: " + list(zone_words));
}

void Reader::read_wishes() {
  const auto node = root_.optional_table("wish");
  Wishes& w = c_.wishes;
  w.soak_s = c_.steel.austenitising.asked_soak_s;
  if (node) {
    w.soak_s = node->quantity("soak", "time", {0, 100 * hour, true}, w.soak_s);
    w.within_K = node->quantity("within", "temperature_difference", {0.1, 100}, w.within_K);
    if (node->has("hardness")) {
      const auto range = node->quantities("hardness", "hardness_HRC", {20, 68});
      if (range.size() != 2)
        node->fail("hardness",
                   "two values are wanted, the least and the most, like [\"60 HRC\", \"62 HRC\"]; "
                   "there are " +
                       std::to_string(range.size()));
      if (range[0] > range[1])
        node->fail("hardness", brief(range[0], "hardness_HRC") + " to " + brief(range[1], "hardness_HRC") +
                                   " is reversed; write the least first");
      w.hrc_from = range[0];
      w.hrc_to = range[1];
    }
    read_wanted(*node);
  }
  if (runs(Part::furnace) && !c_.furnace.timer_s && w.soak_s <= 0)
    root_.fail(root_.has("furnace") ? "furnace" : "",
               "timer missing; an inert steel has no usual soak, so write furnace.timer or wish.soak");
  if (runs(Part::furnace) && !(node && node->has("soak")) && w.soak_s > 0)
    assume(Part::furnace, "asked soak " + time_text(w.soak_s) + " at temperature, usual for " + c_.steel.key);
  if (!c_.furnace.timer_s)
    assume(Part::furnace, "timer set by the program so that every zone gets the asked soak");
  out_.heading("[wish]");
  if (w.soak_s > 0)
    out_.time("soak", w.soak_s);
  out_.value("within", w.within_K, "temperature_difference");
  if (w.hrc_to > 0)
    out_.values("hardness", {w.hrc_from, w.hrc_to}, "hardness_HRC");
  const auto zones = [&](Wanted wanted) {
    std::string words;
    for (std::size_t z = 0; z < w.zones.size(); ++z)
      if (w.zones[z] == wanted)
        words += (words.empty() ? "[" : ", ") + toml_string(zone_words[z]);
    return words + "]";
  };
  const auto any = [&](Wanted wanted) {
    return std::find(w.zones.begin(), w.zones.end(), wanted) != w.zones.end();
  };
  if (any(Wanted::soft) || any(Wanted::either))
    out_.raw("harden", zones(Wanted::hard));
  if (any(Wanted::soft))
    out_.raw("soft", zones(Wanted::soft));
}

void Reader::read_thresholds() {
  const auto node = root_.optional_table("verdict");
  Thresholds& v = c_.thresholds;
  if (node) {
    v.transformed_pass = node->quantity("transformed_pass", "percent", {0, 1}, v.transformed_pass);
    v.transformed_marginal =
        node->quantity("transformed_marginal", "percent", {0, 1}, v.transformed_marginal);
    v.austenite_least = node->quantity("austenite_least", "percent", {0, 1}, v.austenite_least);
    v.soft_least = node->quantity("soft_least", "percent", {0, 1}, v.soft_least);
    v.bow_pass_m = node->quantity("bow_pass", "length", {0, 1}, v.bow_pass_m);
    v.bow_marginal_m = node->quantity("bow_marginal", "length", {0, 1}, v.bow_marginal_m);
    if (v.bow_marginal_m < v.bow_pass_m)
      node->fail(node->has("bow_marginal") ? "bow_marginal" : "bow_pass",
                 "marginal ends at " + brief(v.bow_marginal_m, "length") + ", below the end of pass, " +
                     brief(v.bow_pass_m, "length"));
    v.flash_margin_K = node->quantity("flash_margin", "temperature_difference", {0, 200}, v.flash_margin_K);
    if (v.transformed_marginal < v.transformed_pass)
      node->fail(node->has("transformed_marginal") ? "transformed_marginal" : "transformed_pass",
                 "marginal ends at " + brief(v.transformed_marginal, "percent") +
                     ", below the end of pass, " + brief(v.transformed_pass, "percent"));
  }
  out_.heading("[verdict]");
  out_.value("transformed_pass", v.transformed_pass, "percent");
  out_.value("transformed_marginal", v.transformed_marginal, "percent");
  out_.value("austenite_least", v.austenite_least, "percent");
  out_.value("soft_least", v.soft_least, "percent");
  out_.value("bow_pass", v.bow_pass_m, "length");
  out_.value("bow_marginal", v.bow_marginal_m, "length");
  out_.value("flash_margin", v.flash_margin_K, "temperature_difference");
}

void Reader::read_uncertainty() {
  const auto record = records_.shipped(RecordKind::uncertainty, "typical_uncertainty");
  if (!record)
    root_.fail("", "the shipped usual uncertainties (typical_uncertainty.toml) cannot be read");
  c_.uncertainty.usual = records::read_uncertainty(record->text, record->file);
  const auto node = root_.optional_table("uncertainty");
  if (!node || node->keys().empty())
    return;
  const auto& usual = c_.uncertainty.usual.inputs;
  out_.heading("[uncertainty]");
  for (const std::string& key : node->keys()) {
    const auto input = std::find_if(usual.begin(), usual.end(), [&](const auto& i) { return i.key == key; });
    if (input == usual.end()) {
      std::vector<std::string> known;
      for (const auto& i : usual)
        known.push_back(i.key);
      const std::string near = records::nearest(key, known);
      node->fail(key, "is no uncertain input; " +
                          (near.empty() ? "allowed: " + list(known) : "did you mean " + near + "?"));
    }
    Doubt doubt;
    doubt.input = key;
    const std::string word = node->is_text(key) ? node->text(key) : "";
    if (word == "measured")
      doubt.knowledge = records::Knowledge::measured;
    else if (word == "from memory")
      doubt.knowledge = records::Knowledge::from_memory;
    else if (word == "exact")
      doubt.width = input->spread == records::Spread::lognormal && input->dimension == "factor" ? 1.0 : 0.0;
    else if (word != "typical") {
      const bool letters_only = !word.empty() && std::none_of(word.begin(), word.end(),
                                                              [](char c) { return c >= '0' && c <= '9'; });
      if (letters_only)
        node->fail(key, toml_string(word) + "; allowed: \"measured\", \"typical\", \"from memory\", "
                                            "\"exact\", or a width of its own");
      doubt.width = records::read_width(*node, key, *input);
      doubt.knowledge = records::Knowledge::measured;
    }
    c_.uncertainty.stated.push_back(std::move(doubt));
    out_.raw(key, node->written(key));
  }
}

void Reader::read_probes() {
  for (const Node& node : root_.tables("probe")) {
    Probe probe;
    probe.name = node.text("name");
    probe.x_m = node.quantity("x", "length", {0, 1});
    probe.y_m = node.quantity("y", "length", {-0.1, 0.1}, 0.0);
    for (const Probe& other : c_.probes)
      if (other.name == probe.name)
        node.fail("name", toml_string(probe.name) + " names two probes; give each its own name");
    constexpr double slack = 1e-9;
    const bool inside =
        std::any_of(c_.blade.stations.begin(), c_.blade.stations.end(), [&](const Station& s) {
          return probe.x_m <= s.profile.width() + slack && probe.y_m <= s.profile.top_at(probe.x_m) + slack &&
                 probe.y_m >= s.profile.bottom_at(probe.x_m) - slack;
        });
    if (!inside)
      node.fail("x", "the probe at " + brief(probe.x_m, "length") + ", " + brief(probe.y_m, "length") +
                         " lies outside the blade; x counts from the spine, y from the centre plane");
    out_.heading("[[probe]]");
    out_.text("name", probe.name);
    out_.value("x", probe.x_m, "length");
    out_.value("y", probe.y_m, "length");
    c_.probes.push_back(std::move(probe));
  }
}

void Reader::read_output() {
  const auto node = root_.optional_table("output");
  if (!node || !node->has("times"))
    return;
  c_.output_times_s = node->quantities("times", "time", {0, 1000 * hour});
  for (std::size_t i = 1; i < c_.output_times_s.size(); ++i)
    if (c_.output_times_s[i] <= c_.output_times_s[i - 1])
      node->fail("times", "must ascend: " + brief(c_.output_times_s[i], "time") + " follows " +
                              brief(c_.output_times_s[i - 1], "time"));
  out_.heading("[output]");
  out_.values("times", c_.output_times_s, "time");
}

void Reader::read_solver() {
  const auto node = root_.optional_table("solver");
  SolverSettings& s = c_.solver;
  double thickest = 0;
  for (const Station& station : c_.blade.stations)
    thickest = std::max(thickest, station.profile.thickness_at(station.profile.thickest_at()));
  s.across = usual_across(thickest);
  if (node) {
    s.tolerance_K = node->quantity("tolerance", "temperature_difference", {1e-6, 20}, s.tolerance_K);
    s.along = node->integer("along", {8, 2000}, s.along);
    s.across = node->integer("across", {2, 400}, s.across);
    s.max_step_s = node->quantity("max_step", "time", long_time, s.max_step_s);
    s.use_symmetry = node->flag("symmetry", s.use_symmetry);
    if (s.across % 2 != 0)
      node->fail("across", std::to_string(s.across) + " is odd; write an even number of intervals");
  }
  out_.heading("[solver]");
  out_.value("tolerance", s.tolerance_K, "temperature_difference");
  out_.number("along", s.along);
  out_.number("across", s.across);
  out_.time("max_step", s.max_step_s);
  out_.flag("symmetry", s.use_symmetry);
}

Case Reader::read() {
  read_head();
  read_stages();
  read_blade();
  read_start();
  const bool listed = root_.has("step");
  if (!listed)
    read_furnace();
  read_wrap();
  if (!listed)
    check_foil_service();
  read_coat();
  read_surface();
  if (listed) {
    read_steps();
  } else {
    read_transfer();
    read_bath("bath", c_.bath);
    if (root_.has("second_bath")) {
      c_.second_bath.emplace();
      read_bath("second_bath", *c_.second_bath);
    }
    read_cool();
    read_temper();
    c_.steps = usual_steps(c_);
  }
  read_wishes();
  read_thresholds();
  read_uncertainty();
  read_probes();
  read_output();
  read_solver();
  root_.finish();
  c_.resolved_text = out_.str();
  return static_cast<Case&&>(c_);
}

} // namespace

const char* record_kind_name(RecordKind kind) {
  switch (kind) {
  case RecordKind::steel:
    return "steel";
  case RecordKind::coolant:
    return "coolant";
  case RecordKind::foil:
    return "foil";
  case RecordKind::solid:
    return "solid";
  case RecordKind::phases:
    return "phases";
  case RecordKind::uncertainty:
    return "uncertainty";
  case RecordKind::strains:
    return "strains";
  }
  return "";
}

bool is_record_path(std::string_view name) {
  constexpr std::string_view ending = ".toml";
  return name.find('/') != std::string_view::npos ||
         (name.size() > ending.size() && name.substr(name.size() - ending.size()) == ending);
}

Case read_case(std::string_view text, std::string file, const RecordSource& records) {
  return Reader(text, std::move(file), records).read();
}

} // namespace tq::treatment
