// Keys of a log, of furnaces and ovens alike.
#include "records/read_log.hpp"
#include "treatment/keys/key.hpp"
#include "units/quantity.hpp"

namespace tq::treatment::keys {
namespace {

constexpr double longest_gap_s = 600;

Place with_log() {
  return only(
      "log", [](const Scope& k) { return k.given("log"); }, "belongs to a log");
}

/// A text that read_log() reads again.
std::string as_written(const Scope& k, const char* key) {
  return k.given(key) ? records::toml_string(k.node->text(key)) : "";
}

double gap(const Scope& k) {
  return k.node->quantity("log_gap", "time", {1, 100 * 3600.0}, longest_gap_s, "10 min");
}

} // namespace

records::LogRecord read_log(const Scope& k) {
  const std::string name = k.node->text("log");
  records::LogChoice choice;
  choice.column = k.node->text("log_column", "");
  choice.start = k.node->text("log_start", "");
  choice.longest_gap_s = gap(k);
  const auto text = k.all().records.at_path(RecordKind::log, name);
  if (!text)
    k.fail("log",
           records::toml_string(name) +
               " cannot be read; a log is a .csv file, its path counts from the folder of the case file");
  try {
    records::LogRecord log = records::read_log(text->text, name, choice);
    k.told.insert(k.told.end(), log.remarks.begin(), log.remarks.end());
    return log;
  } catch (const records::InputError& error) {
    k.fail("log", error.what());
  }
}

void log_keys(Table& t, std::string (*own_reader)(Scope&)) {
  t.key("log", aside(R"("run.csv")"),
        "measured temperature over time, a .csv file with units in its heading, in place of what is set",
        own(own_reader));
  t.key("log_start", aside(R"("14:03:20")"),
        "when the step begins, as the log writes its times; default: its first reading", with_log(),
        own([](Scope& k) { return as_written(k, "log_start"); }));
  t.key("log_column", aside(R"("Furnace [degC]")"), "heading of the temperature, when there are several",
        with_log(), own([](Scope& k) { return as_written(k, "log_column"); }));
  t.key("log_gap", aside(R"("10 min")"), "longest time without a reading that a straight line may bridge",
        with_log(), own([](Scope& k) {
          return k.given("log_gap") ? records::toml_string(time_text(gap(k))) : std::string();
        }));
}

} // namespace tq::treatment::keys
