#include <catch2/catch.hpp>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "core/text.h"
#include "sheets/compose.h"
#include "sheets/html.h"
#include "sheets/json.h"
#include "sheets/pdf.h"
#include "sheets/reading.h"
#include "sheets/sample_plan.h"
#include "sheets/text.h"

using namespace handlot;
using nlohmann::json;

namespace {

std::string capital(std::string text) {
  text[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(text[0])));
  return text;
}

std::string str(const json& j) {
  return test::plain(j.get<std::string>());
}

/// Everything of a step that must be read on its page, taken from plan.json and not from the sheet.
std::vector<std::string> words_of(const json& step) {
  std::vector<std::string> words{std::to_string(step["number"].get<int>()), str(step["title"])};
  for (const auto& part : step["parts"])
    words.push_back(std::to_string(part["count"].get<int>()) + " × " + str(part["name"]));
  for (const auto& material : step["materials"]) {
    words.push_back(str(material["name"]));
    if (!str(material["amount_unit"]).empty()) words.push_back(str(material["amount_unit"]) + " a unit");
    words.push_back(str(material["amount_lot"]) + " for the lot");
  }
  for (const auto& tool : step["tools"]) words.push_back(str(tool["name"]));
  for (const auto& action : step["actions"]) words.push_back(str(action));
  for (const auto& check : step["checks"]) {
    words.push_back(capital(str(check["what"])));
    if (!str(check["limit"]).empty()) words.push_back(str(check["limit"]));
  }
  for (const char* key : {"orientation", "reminder"}) {
    if (!str(step[key]).empty()) words.push_back(str(step[key]));
  }
  return words;
}

std::string span_of(const json& wait) {
  std::string out;
  if (wait["min_s"] > 0) out = "not before " + in_words(Duration(wait["min_s"].get<std::int64_t>()));
  if (!wait["max_s"].is_null())
    out += (out.empty() ? "" : ", ") + ("not after " + in_words(Duration(wait["max_s"].get<std::int64_t>())));
  return out;
}

std::vector<std::string> words_of_waits(const json& plan) {
  std::vector<std::string> words;
  for (const auto& wait : plan["waits"]) {
    words.push_back(str(wait["what"]) + ", " + span_of(wait));
    words.push_back(capital(str(wait["then"])));
    if (!str(wait["if_late"]).empty()) words.push_back("If late: " + capital(str(wait["if_late"])));
  }
  return words;
}

std::vector<std::string> words_of_cautions(const json& plan) {
  std::vector<std::string> words;
  for (const auto& caution : plan["cautions"]) {
    words.push_back(capital(str(caution["hazard"])) + ". " + capital(str(caution["consequence"])) + ". " +
                    capital(str(caution["avoid"])) + ".");
    for (const auto& code : caution["h_codes"]) words.push_back(str(code));
  }
  return words;
}

void check_holds(const std::string& text, const std::vector<std::string>& words) {
  for (const auto& word : words) {
    INFO("missing: " << word);
    CHECK(text.find(word) != std::string::npos);
  }
}

/// The page on which a step stands: the one with its title and its plan line behind it.
std::vector<std::size_t> pages_with(const std::vector<std::string>& pages, const json& step) {
  std::vector<std::size_t> found;
  const std::string head = std::to_string(step["number"].get<int>()) + " " + str(step["title"]) + " ";
  for (std::size_t i = 0; i < pages.size(); ++i) {
    for (auto at = pages[i].find(head); at != std::string::npos; at = pages[i].find(head, at + 1)) {
      const auto planned = pages[i].find(" Planned ", at);
      if (planned != std::string::npos && planned - at < head.size() + 120) found.push_back(i);
    }
  }
  return found;
}

}  // namespace

TEST_CASE("a caution names its steps as the sheet numbers them, however they are listed", "[sheets]") {
  const auto plan = test::sample_plan();
  auto turned = plan;
  for (auto& caution : turned.cautions) std::reverse(caution.steps.begin(), caution.steps.end());
  CHECK(sheets::sheet_as_text(sheets::compose(turned), {200, false}) == sheets::sheet_as_text(sheets::compose(plan), {200, false}));
}

TEST_CASE("PDF, HTML and text say what plan.json says: steps, waits, amounts, cautions", "[sheets]") {
  const auto plan = test::sample_plan();
  const json truth = json::parse(sheets::to_json(plan));
  const auto sheet = sheets::compose(plan);
  const std::string html = test::html_text(*sheets::to_html(sheet));
  const std::string text = test::plain(sheets::sheet_as_text(sheet, {200, false}));
  std::vector<std::string> words = words_of_waits(truth);
  for (const auto& more : words_of_cautions(truth)) words.push_back(more);
  for (const auto& step : truth["steps"]) {
    for (const auto& more : words_of(step)) words.push_back(more);
  }
  REQUIRE(words.size() > 150);
  SECTION("HTML") {
    check_holds(html, words);
  }
  SECTION("text") {
    check_holds(text, words);
  }
  SECTION("PDF") {
    const auto pages = test::pdf_pages(sheets::to_pdf(sheet), "agree.pdf");
    if (!pages) {
      WARN("skipped: no pdftotext (package poppler-utils)");
      return;
    }
    std::string all;
    for (const auto& page : *pages) all += page + " ";
    check_holds(all, words);
  }
}

TEST_CASE("a step stands whole on one page, and each page says which it is", "[sheets]") {
  const auto plan = test::sample_plan();
  const json truth = json::parse(sheets::to_json(plan));
  for (const auto paper : {sheets::Paper::a4, sheets::Paper::letter}) {
    const auto pages = test::pdf_pages(sheets::to_pdf(sheets::compose(plan), paper), "whole.pdf");
    if (!pages) {
      WARN("skipped: no pdftotext (package poppler-utils)");
      return;
    }
    for (const auto& step : truth["steps"]) {
      INFO(str(step["title"]));
      const auto where = pages_with(*pages, step);
      REQUIRE(where.size() == 1);
      check_holds((*pages)[where[0]], words_of(step));
    }
    for (std::size_t i = 0; i < pages->size(); ++i) {
      check_holds((*pages)[i], {"Fog bell rev C · lot of 6 units · plan 3fa9c12b77de",
                                "page " + std::to_string(i + 1) + " of " + std::to_string(pages->size())});
    }
  }
}

TEST_CASE("a step too high for a page is made smaller and not split", "[sheets]") {
  auto plan = test::sample_plan();
  auto& step = plan.work.steps[3];
  for (int i = 0; i < 40; ++i)
    step.actions.push_back("Place capacitor number " + std::to_string(i) +
                           " and look at it from both sides before the next.");
  const json truth = json::parse(sheets::to_json(plan));
  const auto pages = test::pdf_pages(sheets::to_pdf(sheets::compose(plan)), "high.pdf");
  if (!pages) {
    WARN("skipped: no pdftotext (package poppler-utils)");
    return;
  }
  const auto where = pages_with(*pages, truth["steps"][3]);
  REQUIRE(where.size() == 1);
  check_holds((*pages)[where[0]], words_of(truth["steps"][3]));
}

TEST_CASE("names with markup in them are words, not markup", "[sheets][errors]") {
  auto plan = test::sample_plan();
  plan.head.name = "<script>alert(1)</script> & {{title}} \"x\" \\";
  plan.work.steps[0].title = "Look at <b>this</b>";
  const auto html = sheets::to_html(sheets::compose(plan));
  REQUIRE(html);
  CHECK(html->find("<script>") == std::string::npos);
  CHECK(html->find("<b>this") == std::string::npos);
  CHECK(test::html_text(*html).find("Look at <b>this</b>") != std::string::npos);
  CHECK_FALSE(sheets::to_pdf(sheets::compose(plan)).empty());
}

TEST_CASE("an empty plan has a sheet too", "[sheets]") {
  const auto sheet = sheets::compose(plan::Plan{});
  CHECK(sheets::to_pdf(sheet).starts_with("%PDF"));
  CHECK(sheets::to_html(sheet)->find("Build sheet") != std::string::npos);
  CHECK_FALSE(sheets::plan_as_text(plan::Plan{}).empty());
}

TEST_CASE("a picture that is no SVG leaves words in its place", "[sheets][errors]") {
  auto plan = test::sample_plan();
  plan.work.steps[2].picture_svg = "<svg><broken";
  const auto pages = test::pdf_pages(sheets::to_pdf(sheets::compose(plan)), "broken.pdf");
  if (!pages) {
    WARN("skipped: no pdftotext (package poppler-utils)");
    return;
  }
  CHECK(std::any_of(pages->begin(), pages->end(), [](const auto& p) {
    return p.find("the picture could not be read") != std::string::npos;
  }));
}

TEST_CASE("the PDF is sound, with title, language and embedded fonts", "[sheets]") {
  const std::string path = test::scratch("sound.pdf");
  (void)test::pdf_pages(sheets::to_pdf(sheets::compose(test::sample_plan())), "sound.pdf");
  const auto checked = test::output_of("qpdf --check '" + path + "'");
  if (!checked) {
    // qpdf is there but not content, or it is not there at all.
    if (test::output_of("qpdf --version")) FAIL("qpdf --check finds fault with " << path);
    WARN("skipped: no qpdf");
    return;
  }
  CHECK(checked->find("No syntax or stream encoding errors found") != std::string::npos);
  const auto info = test::output_of("pdfinfo '" + path + "'");
  const auto fonts = test::output_of("pdffonts '" + path + "'");
  const auto catalogue = test::output_of("qpdf --show-object=trailer '" + path + "' && qpdf --json '" + path +
                                         "' | grep -m1 '\"/Lang\"'");
  REQUIRE(info);
  REQUIRE(fonts);
  REQUIRE(catalogue);
  CHECK(info->find("Title:           Fog bell, build sheet") != std::string::npos);
  CHECK(info->find("Tagged:          yes") != std::string::npos);
  CHECK(catalogue->find("en") != std::string::npos);
  std::istringstream lines(*fonts);
  int rows = 0;
  for (std::string line; std::getline(lines, line); ++rows) {
    if (rows < 2) continue;  // two lines of head
    INFO(line);
    CHECK(line.find(" yes yes yes ") != std::string::npos);  // embedded, a subset, with a map to Unicode
  }
  CHECK(rows > 2);
}

TEST_CASE("no page holds only the last lines of the front", "[sheets]") {
  plan::Plan plan = test::sample_plan();
  for (int lines = 0; lines < 40; ++lines) {
    const auto pages = test::pdf_pages(sheets::to_pdf(sheets::compose(plan)), "front.pdf");
    if (!pages) {
      WARN("skipped: no pdftotext (package poppler-utils)");
      return;
    }
    const auto last = std::find_if(pages->begin(), pages->end(), [](const std::string& page) { return page.find("Every box is either true or empty.") != std::string::npos; });
    REQUIRE(last != pages->end());
    INFO(lines << " more lines: " << *last);
    constexpr std::size_t kFewLines = 600;  // head and foot of the page counted
    CHECK((last == pages->begin() || last->size() > kFewLines));
    plan.head.notes += " One more line of notes that is long enough to fill the width of a page from its left edge to its right edge.";
  }
}

TEST_CASE("a hot station that no step uses is not on the list of equipment", "[sheets]") {
  plan::Plan plan = test::sample_plan();
  plan.work.resources.push_back({ResourceId("pencil"), "hot air pencil", plan::Resource::Kind::station, 1, minutes(2), minutes(5), {}, false});
  const std::string html = test::html_text(*sheets::to_html(sheets::compose(plan)));
  CHECK(html.find("small oven") != std::string::npos);
  CHECK(html.find("hot air pencil") == std::string::npos);
}
