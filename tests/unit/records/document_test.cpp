#include "records/document.hpp"

#include <gtest/gtest.h>

#include <functional>
#include <limits>
#include <string>

using namespace tq::records;

namespace {

constexpr double inf = std::numeric_limits<double>::infinity();

std::string message(const std::function<void()>& read) {
  try {
    read();
  } catch (const InputError& e) {
    return e.what();
  }
  return "no error";
}

std::string syntax(std::string_view text) {
  return message([&] { parse_document(text, "f.toml"); });
}

} // namespace

TEST(Records_Document, ReadsEveryKindOfValue) {
  const Node root = parse_document("name = \"a\"\nn = 3\nx = 1.5\non = true\nlength = \"3.2 mm\"\n"
                                   "list = [1, 2.5]\nwords = [\"a\", \"b\"]\ntimes = [\"1 s\", \"2 min\"]\n"
                                   "[t]\nunit = \"degF\"\nvalues = [32, 212]\n[[s]]\nk = 1\n[[s]]\nk = 2\n",
                                   "f.toml");
  EXPECT_EQ(root.text("name"), "a");
  EXPECT_EQ(root.text("none", "other"), "other");
  EXPECT_EQ(root.integer("n", {0, 10}), 3);
  EXPECT_EQ(root.integer("m", {0, 10}, 7), 7);
  EXPECT_DOUBLE_EQ(root.number("x", {0, 10}), 1.5);
  EXPECT_DOUBLE_EQ(root.number("n", {0, 10}), 3);
  EXPECT_TRUE(root.flag("on", false));
  EXPECT_FALSE(root.flag("off", false));
  EXPECT_DOUBLE_EQ(root.quantity("length", "length", {0, 1}), 3.2e-3);
  EXPECT_EQ(root.optional_quantity("width", "length", {0, 1}), std::nullopt);
  EXPECT_EQ(root.numbers("list", {0, 10}), (std::vector<double>{1, 2.5}));
  EXPECT_EQ(root.texts("words"), (std::vector<std::string>{"a", "b"}));
  EXPECT_EQ(root.quantities("times", "time", {0, 1000}), (std::vector<double>{1, 120}));
  const auto f = root.table("t").quantities("values", "temperature", {-inf, inf});
  ASSERT_EQ(f.size(), 2u);
  EXPECT_NEAR(f[0], 0, 1e-12);
  EXPECT_NEAR(f[1], 100, 1e-12);
  const auto s = root.tables("s");
  ASSERT_EQ(s.size(), 2u);
  EXPECT_EQ(s[1].integer("k", {0, 9}), 2);
  EXPECT_EQ(s[1].path(), "s[2]");
  EXPECT_EQ(s[0].integer("k", {0, 9}), 1);
  EXPECT_NO_THROW(root.finish());
}

TEST(Records_Document, WrongValue_IsToldWithFileLineKeyAndWhatIsAllowed) {
  const Node root = parse_document("a = 3\nb = \"x\"\nc = \"-3 mm\"\nd = 1.5\ne = nan\nf = \"30 degC\"\n"
                                   "g = [1, \"x\"]\n[t]\nk = 3.2\n",
                                   "f.toml");
  EXPECT_EQ(message([&] { root.text("a"); }), "f.toml:1: a: 3 is no text; write it in quotes, like \"3\"");
  EXPECT_EQ(message([&] {
              root.number("b", {0, 1});
            }),
            "f.toml:2: b: \"x\" is no bare number; allowed: 0 to 1");
  EXPECT_EQ(message([&] {
              root.quantity("c", "length", {0, 0.1, true});
            }),
            "f.toml:3: c: \"-3 mm\" is out of range; allowed: more than 0 mm up to 100 mm");
  EXPECT_EQ(message([&] {
              root.integer("d", {0, inf});
            }),
            "f.toml:4: d: 1.5 is no whole number; allowed: 0 or more");
  EXPECT_EQ(message([&] {
              root.number("e", {0, 1});
            }),
            "f.toml:5: e: nan is no finite number; allowed: 0 to 1");
  EXPECT_EQ(
      message([&] {
        root.quantity("f", "length", {0, 1});
      }),
      "f.toml:6: f: \"30 degC\" is a temperature; wanted is a length like \"3.2 mm\" (mm, cm, m, um, in, "
      "thou, ft)");
  EXPECT_EQ(message([&] {
              root.numbers("g", {0, 10});
            }),
            "f.toml:7: g[2]: \"x\" is no bare number; allowed: 0 to 10");
  EXPECT_EQ(message([&] {
              root.table("t").quantity("k", "length", {0, 1});
            }),
            "f.toml:9: t.k: 3.2 has no unit; write a length in quotes, like \"3.2 mm\"");
  EXPECT_EQ(message([&] { root.table("t").text("name"); }),
            "f.toml:8: t.name: missing; write a text in quotes");
  EXPECT_EQ(message([&] { root.table("u"); }), "f.toml:1: u: missing; write a table [u]");
  EXPECT_EQ(message([&] {
              root.choice("b", {"hot", "cold"});
            }),
            "f.toml:2: b: \"x\" is not known; allowed: hot, cold");
  EXPECT_EQ(message([&] { root.fail("c", "too\nlong"); }), "f.toml:3: c: too long");
}

TEST(Records_Document, NearMiss_IsSuggested) {
  const Node root = parse_document("loading = \"hott\"\n[furnace]\nsetpiont = \"800 degC\"\n", "f.toml");
  EXPECT_EQ(message([&] {
              root.choice("loading", {"hot", "cold"});
            }),
            "f.toml:1: loading: \"hott\" is not known; did you mean \"hot\"? allowed: hot, cold");
  const Node furnace = root.table("furnace");
  EXPECT_EQ(message([&] {
              furnace.quantity("setpoint", "temperature", {0, 1300});
            }),
            "f.toml:3: furnace.setpiont: unknown key; did you mean \"setpoint\"?");
  EXPECT_EQ(message([&] { root.finish(); }), "no error"); // told once
  const Node again = parse_document("[furnace]\nsetpiont = \"800 degC\"\n", "f.toml");
  EXPECT_FALSE(again.table("furnace").optional_quantity("setpoint", "temperature", {0, 1300}).has_value());
  EXPECT_FALSE(again.table("furnace").optional_quantity("timer", "time", {0, 100}).has_value());
  EXPECT_EQ(
      message([&] { again.finish(); }),
      "f.toml:2: furnace.setpiont: unknown key; did you mean \"setpoint\"? allowed here: setpoint, timer");
}

TEST(Records_Document, FinishFindsUnknownKeysAnywhere) {
  const Node root = parse_document("[[s]]\nk = 1\n[[s]]\nk = 2\nextra = 1\n", "f.toml");
  for (const Node& s : root.tables("s"))
    s.integer("k", {0, 9});
  EXPECT_EQ(message([&] { root.finish(); }), "f.toml:5: s[2].extra: unknown key; allowed here: k");
  const Node other = parse_document("[free]\na = 1\n[free.b]\nc = [{ d = 1 }]\n", "f.toml");
  other.accept("free");
  EXPECT_NO_THROW(other.finish());
}

TEST(Records_Document, BrokenText_IsOneLine) {
  EXPECT_EQ(syntax(""), "f.toml:1: nothing in it; key = value lines are wanted");
  EXPECT_EQ(syntax("a = 1\nb = 2\na = 3\n"),
            "f.toml:3: a: written twice (first in line 1); keep one of them");
  EXPECT_EQ(syntax("[t]\na = 1\n[t]\nb = 1\n"),
            "f.toml:3: t: written twice (first in line 1); keep one of them");
  EXPECT_EQ(syntax("x = 1\na = 3.2 mm # c\n"), "f.toml:2: a: 3.2 mm is not in quotes; write a = \"3.2 mm\"");
  EXPECT_EQ(syntax("a = 3,2\n"), "f.toml:1: a: 3,2 has a comma; decimals have a point, values with a unit "
                                 "stand in quotes: a = \"3.2 mm\"");
  EXPECT_EQ(syntax("a = \"3.2 mm\nb = 2\n"),
            "f.toml:1: a: text without its closing quote, or with a \\ that means nothing");
  EXPECT_EQ(syntax("a =\nb = 2\n"), "f.toml:1: a: no value after =; write key = value");
  EXPECT_EQ(syntax("a = 1\nblade\n"),
            "f.toml:2: \"blade\" has no =; write key = value, or [name] for a heading");
  EXPECT_EQ(syntax("[blade\na = 1\n"),
            "f.toml:1: \"[blade\" is no key and no heading; write key = value, [name] or [[name]]");
  EXPECT_EQ(syntax("a = [1,\n2\n"),
            "f.toml:1: a: list without its closing ] or without a comma between two values");
  EXPECT_EQ(syntax("a = O1\n"),
            "f.toml:1: a: O1 is no value; texts and values with a unit stand in quotes: a = \"O1\"");
  EXPECT_EQ(syntax(std::string_view("a = 1\nb\0c", 9)),
            "f.toml:2: byte 0x00 is not allowed; this must be a text file in UTF-8");
  EXPECT_EQ(syntax("a = 1\nb = \"\xff\"\n"),
            "f.toml:2: byte 0xff is not allowed; this must be a text file in UTF-8");
  EXPECT_EQ(syntax("b = \"\xc3"), "f.toml:1: byte 0xc3 is not allowed; this must be a text file in UTF-8");
  EXPECT_EQ(syntax("a = 1\nb = \"\xc3\xa4\"\n"), "no error");
  EXPECT_EQ(syntax("\xEF\xBB\xBF"
                   "a = 1\r\nb = 2\r\n"),
            "no error");
}

TEST(Records_Document, AbsurdNesting_IsRefused) {
  const std::string told = "f.toml:2: nested more than 50 levels deep; no case needs more than 5";
  EXPECT_EQ(syntax("x = 1\na = " + std::string(100000, '[')), told);
  EXPECT_EQ(syntax("x = 1\na = " + std::string(60, '[') + std::string(60, ']')), told);
  std::string dotted = "x = 1\na", braces = "x = 1\na = ";
  for (int i = 0; i < 1000; ++i) {
    dotted += ".b";
    braces += "{b = ";
  }
  EXPECT_EQ(syntax(dotted + " = 1"), told);
  EXPECT_EQ(syntax(braces), told);
  std::string numbers = "x = [1.5", strings = "s = [\"";
  for (int i = 0; i < 200; ++i) {
    numbers += ", 2.5";
    strings += i % 2 ? "[.{" : "\\\"";
  }
  EXPECT_EQ(syntax(numbers + "]\n" + strings + "\", '[[[.', \"\"\"[[\n[[\"\"\"] # [[[[[\n"), "no error");
}

TEST(Records_Document, AnyTruncationOfAText_GivesOneLineOrReads) {
  const std::string text = "format = 1\n[blade]\nsteel = \"O1\" # ä\nlist = [\"a\", 2, { b = 1.5e3 }]\n"
                           "[[blade.station]]\nwidth = '30 mm'\nm = \"\"\"x\ny\"\"\"\nd = 2020-01-01\n";
  for (std::size_t n = 0; n < text.size(); ++n) {
    const std::string told = syntax(text.substr(0, n));
    EXPECT_EQ(told.find('\n'), std::string::npos) << told;
    EXPECT_TRUE(told == "no error" || told.rfind("f.toml:", 0) == 0) << told;
  }
}

TEST(Records_Document, Overlay_ReplacesValuesAndKeepsTheirPlaces) {
  const std::string base = "name = \"base\"\n[a]\nsource = \"from memory\"\nx = 1\n"
                           "[a.y]\nvalue = \"3 mm\"\nuncertainty = \"1 mm\"\nsource = \"from memory\"\n"
                           "[a.t]\nsource = \"from memory\"\nvalues = [1, 2]\n";
  const std::string over = "[blade]\nsteel = \"O1\"\n\n[blade.override.a]\nx = 5\ny = \"-4 mm\"\nz = 1\n"
                           "t.values = [3]\n";
  const Node root = parse_document(overlay(base, over, "case.toml", "blade.override"), "base.toml");
  EXPECT_EQ(root.text("name"), "base");
  const Node a = root.table("a");
  EXPECT_EQ(a.text("source"), "from memory");
  EXPECT_DOUBLE_EQ(a.table("x").number("value", {0, 9}), 5);
  EXPECT_EQ(a.table("x").text("source"), "given in the case file");
  EXPECT_EQ(a.table("y").text("source"), "given in the case file");
  EXPECT_FALSE(a.table("y").has("uncertainty"));
  EXPECT_EQ(a.table("t").text("source"), "given in the case file");
  EXPECT_EQ(a.table("t").numbers("values", {0, 9}), std::vector<double>{3});
  EXPECT_EQ(message([&] {
              a.table("y").quantity("value", "length", {0, 1});
            }),
            "case.toml:6: a.y.value: \"-4 mm\" is out of range; allowed: 0 mm to 1 m");
  EXPECT_EQ(message([&] { root.finish(); }), "case.toml:7: a.z: unknown key; allowed here: source, t, x, y");
  EXPECT_EQ(message([&] { a.fail("", "bad table"); }), "base.toml:2: a: bad table");
}

TEST(Records_Document, Written_ReadsBack) {
  const Node root =
      parse_document("[o]\na = \"q\\\"x\"\nb = [1, 2.5, true]\nc = { d = \"e\", f = 1e-9 }\n", "f.toml");
  const std::string text = root.written("o");
  EXPECT_EQ(text, "{ a = \"q\\\"x\", b = [1, 2.5, true], c = { d = \"e\", f = 1e-09 } }");
  const Node back = parse_document("o = " + text + "\n", "g.toml");
  EXPECT_EQ(back.written("o"), text);
  EXPECT_EQ(root.line("o"), 1);
  EXPECT_EQ(root.written("none"), "");
}
