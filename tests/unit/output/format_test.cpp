// The table of figures in FORMAT.md is made from the table of figures of the answers.
#include "answers/figures.hpp"
#include "layout.hpp"
#include "sample.hpp"

#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>
#include <string>

namespace {

std::string table() {
  std::string out = "| Name | Of | Unit | Meaning | Band |\n|---|---|---|---|---|\n";
  for (const tq::answers::Figure& f : tq::answers::figures())
    out += std::string("| `") + f.meaning.name + "` | " +
           (f.of_zone != nullptr ? "zone"
            : f.of_surface       ? "surface"
                                 : "station") +
           " | " + f.meaning.unit + " | " + f.meaning.long_name + " | " + (f.spread.drawn ? "yes" : "") +
           " |\n";
  return out;
}

TEST(Output_Format, FiguresOfThePage_AreThoseOfTheAnswers) {
  const std::filesystem::path file = std::filesystem::path(TQ_SOURCE_DIR) / "solver/output/FORMAT.md";
  std::string page = tq::test::file_text(file);
  const std::size_t from = page.find("| Name | Of | Unit | Meaning | Band |");
  ASSERT_NE(from, std::string::npos);
  const std::size_t to = page.find("\n\n", from) + 1;
  if (std::getenv("TQ_UPDATE_FORMAT") != nullptr) { // scripts/update-format
    std::ofstream(file, std::ios::binary) << page.replace(from, to - from, table());
    return;
  }
  EXPECT_EQ(page.substr(from, to - from), table()) << "scripts/update-format writes it";
}

} // namespace
