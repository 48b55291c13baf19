#include "output/origin.hpp"

#include "build_facts.hpp"
#include "output/sha256.hpp"
#include "output/text.hpp"

#include <Eigen/Core>
#include <algorithm>
#include <boost/version.hpp>
#include <charconv>
#include <cstdlib>
#include <cstring>
#include <ctime>
#include <limits>
#include <nlohmann/json.hpp>
#include <optional>

namespace tq::output {
namespace {

std::optional<std::time_t> fixed_moment() {
  const char* text = std::getenv("SOURCE_DATE_EPOCH");
  if (text == nullptr)
    return {};
  long long seconds = 0;
  const auto [end, error] = std::from_chars(text, text + std::strlen(text), seconds);
  if (error != std::errc() || *end != '\0' || end == text)
    return {};
  return static_cast<std::time_t>(seconds);
}

std::string utc_text(std::time_t moment) {
  std::tm utc{};
  gmtime_r(&moment, &utc);
  char text[32];
  std::strftime(text, sizeof text, "%Y-%m-%dT%H:%M:%SZ", &utc);
  return text;
}

std::string library_versions() {
  return formatted("Eigen %d.%d.%d, Boost %d.%d.%d, nlohmann-json %d.%d.%d", EIGEN_WORLD_VERSION,
                   EIGEN_MAJOR_VERSION, EIGEN_MINOR_VERSION, BOOST_VERSION / 100000,
                   BOOST_VERSION / 100 % 1000, BOOST_VERSION % 100, NLOHMANN_JSON_VERSION_MAJOR,
                   NLOHMANN_JSON_VERSION_MINOR, NLOHMANN_JSON_VERSION_PATCH);
}

void add_record(std::vector<RecordEntry>& list, const std::string& record,
                const std::vector<records::Provenance>& provenance) {
  for (const records::Provenance& entry : provenance)
    list.push_back({record, entry});
}

} // namespace

bool reproducible() { return fixed_moment().has_value(); }

std::string program_banner() { return formatted("thinquench %s (%s)", build_version, build_commit); }

std::string solver_digest() { return build_solver_digest; }

Origin describe_origin(const treatment::Case& c, const std::vector<treatment::Run>& runs,
                       const answers::Answers& a, const OutputInfo& info) {
  Origin origin;
  origin.program = "thinquench";
  origin.version = build_version;
  origin.commit = build_commit;
  origin.created = utc_text(fixed_moment().value_or(std::time(nullptr)));
  origin.command_line = info.command_line;
  origin.case_file = info.case_file;
  origin.case_text = c.source_text;
  origin.case_sha256 = sha256_hex(c.source_text);
  origin.resolved_case = c.resolved_text;
  origin.compiler = build_compiler;
  origin.compiler_flags = build_flags;
  origin.build_type = build_type;
  origin.libraries = info.libraries + (info.libraries.empty() ? "" : ", ") + library_versions();
  origin.tolerance_K = c.solver.tolerance_K;
  origin.wall_s = reproducible() ? std::numeric_limits<double>::quiet_NaN() : info.wall_s;
  origin.defaults = c.defaults;
  origin.record_files = info.record_files;

  origin.warnings = a.warnings;
  for (const treatment::Run& run : runs)
    for (const std::string& warning : run.warnings)
      if (std::find(origin.warnings.begin(), origin.warnings.end(), warning) == origin.warnings.end())
        origin.warnings.push_back(warning);

  add_record(origin.records, "steel " + c.steel.key, c.steel.provenance);
  if (!c.steel.inert && c.quenched())
    add_record(origin.records, "strains", c.strains.provenance);
  if (c.quenched())
    add_record(origin.records, "coolant " + c.bath().coolant.key, c.bath().coolant.provenance);
  if (c.wrap.layers > 0)
    add_record(origin.records, "foil " + c.wrap.foil.key, c.wrap.foil.provenance);
  return origin;
}

} // namespace tq::output
