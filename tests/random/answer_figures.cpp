#include "answer_figures.hpp"

#include "../support/file_records.hpp"
#include "answers/answers.hpp"
#include "output/figures.hpp"

#include <algorithm>
#include <filesystem>

namespace tq::test {

namespace {

class Collector {
 public:
  Collector(NamedFigures& out, std::string before) : out_(out), before_(std::move(before)) {}
  void add(const std::string& name, double value) { out_.emplace_back(before_ + name, value); }
  void add(const std::string& name, const std::vector<double>& values) {
    for (std::size_t i = 0; i < values.size(); ++i)
      add(name + "[" + std::to_string(i) + "]", values[i]);
  }
  Collector within(const std::string& name) const { return {out_, before_ + name + "/"}; }

 private:
  NamedFigures& out_;
  std::string before_;
};

void add_zone(Collector out, const answers::ZoneAnswer& z) {
  for (const answers::Figure& figure : answers::figures())
    if (figure.of_zone != nullptr)
      out.add(figure.meaning.name, figure.of_zone(z));
  out.add("in_air", {z.in_air_degC.begin(), z.in_air_degC.end()});
  out.add("hardens", static_cast<double>(z.hardens.verdict));
}

void add_state(Collector out, const treatment::NodeState& s, const std::vector<double>& hardness_HV) {
  for (const output::FieldFigure& figure : output::field_figures())
    out.add(figure.meaning.name, s.*figure.value);
  out.add("hardness", hardness_HV);
}

void add_run(Collector out, const treatment::Run& run) {
  add_state(out.within("after_cool"), run.after_cool, run.as_quenched_HV);
  add_state(out.within("final"), run.final_state, run.final_HV);
  for (std::size_t i = 0; i < run.events.size(); ++i) {
    const treatment::Event& e = run.events[i];
    Collector event = out.within("event " + std::to_string(i));
    event.add("kind", static_cast<double>(e.kind));
    event.add("zone", static_cast<double>(e.zone));
    event.add("time", e.time_s);
    event.add("temperature", e.temperature_degC);
  }
  out.add("steps", static_cast<double>(run.counters.steps));
  out.add("heat_out", run.heat_out_J_m.back());
}

} // namespace

NamedFigures answer_figures(const treatment::Case& c) {
  NamedFigures figures;
  std::vector<treatment::Run> runs;
  const answers::Answers a = answers::answer(c, runs);
  Collector all(figures, c.title + "/");
  for (const auto* verdict : {&a.soak, &a.quench, &a.hardness})
    all.add("verdict", static_cast<double>(verdict->verdict));
  for (const answers::StationAnswer& s : a.stations) {
    Collector station = all.within(s.name);
    for (const answers::Figure& figure : answers::figures())
      if (figure.of_station != nullptr && !figure.of_surface)
        station.add(figure.meaning.name, figure.of_station(s));
    for (const answers::ZoneAnswer& z : s.zones)
      add_zone(station.within(z.name), z);
  }
  for (const treatment::Run& run : runs)
    add_run(all.within(run.station), run);
  return figures;
}

std::vector<treatment::Case> shipped_cases() {
  const std::filesystem::path folder = std::filesystem::path(TQ_SOURCE_DIR) / "cases";
  std::vector<std::filesystem::path> files;
  for (const auto& entry : std::filesystem::directory_iterator(folder))
    if (entry.path().extension() == ".toml")
      files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  std::vector<treatment::Case> cases;
  for (const auto& file : files)
    cases.push_back(
        treatment::read_case(read_file(file).value(), file.filename().string(), FileRecords(folder)));
  return cases;
}

} // namespace tq::test
