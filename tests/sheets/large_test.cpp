#include <catch2/catch.hpp>

#include <algorithm>
#include <ctime>

#include "sheets/compose.h"
#include "sheets/html.h"
#include "sheets/pdf.h"
#include "sheets/reading.h"
#include "sheets/sample_plan.h"

using namespace handlot;

namespace {

/// CPU seconds for both printed forms.
double one_cost(const plan::Plan& plan) {
  const std::clock_t before = std::clock();
  const auto sheet = sheets::compose(plan);
  const auto html = sheets::to_html(sheet);
  const std::string pdf = sheets::to_pdf(sheet);
  REQUIRE(html);
  REQUIRE(pdf.size() > 1000);
  return static_cast<double>(std::clock() - before) / CLOCKS_PER_SEC;
}

/// The least of three: what else runs on the machine only ever adds to it.
double cost(const plan::Plan& plan) { return std::min({one_cost(plan), one_cost(plan), one_cost(plan)}); }

}  // namespace

TEST_CASE("a hundred units and a hundred and twenty steps lay out, and the sheet grows no faster than the plan", "[sheets][slow]") {
  (void)cost(test::large_plan(20, 6));  // fonts are found once
  const double half = cost(test::large_plan(60, 50));
  const double full = cost(test::large_plan(120, 100));
  const double more_units = cost(test::large_plan(60, 100));
  WARN("60 steps x 50 units: " << half << " s, x 100: " << more_units << " s, 120 steps x 100 units: " << full
                               << " s of CPU");
  // How long that is, is a figure to read, not to pass: it hangs on the machine and on what else runs. What must hold
  // everywhere is that the sheet itself grows no faster than the plan.
  const auto bytes = [](const plan::Plan& plan) { return static_cast<double>(sheets::to_html(sheets::compose(plan))->size()); };
  CHECK(bytes(test::large_plan(120, 100)) < 4.2 * bytes(test::large_plan(60, 50)));
}

TEST_CASE("a table that no page holds fills its pages", "[sheets][slow]") {
  const auto pages = [](int steps) {
    const auto read = test::pdf_pages(sheets::to_pdf(sheets::compose(test::large_plan(steps, 20))), "long-record.pdf");
    return read ? read->size() : 0;
  };
  const std::size_t half = pages(60), whole = pages(120);
  if (half == 0) {
    WARN("skipped: no pdftotext (package poppler-utils)");
    return;
  }
  CHECK(whole <= 2 * half);  // a unit's values go on to a second page, with their head
}

TEST_CASE("a lot of a hundred units keeps every step whole", "[sheets][slow]") {
  const auto plan = test::large_plan(40, 100);
  const auto pages = test::pdf_pages(sheets::to_pdf(sheets::compose(plan)), "large.pdf");
  if (!pages) {
    WARN("skipped: no pdftotext (package poppler-utils)");
    return;
  }
  for (const auto& step : plan.work.steps) {
    const std::string head = std::to_string(step.number) + " " + step.title + " ";
    int found = 0;
    for (const auto& page : *pages) {
      const auto at = page.find(head);
      if (at == std::string::npos || page.find("Planned ", at) == std::string::npos) continue;
      const bool all = page.find(step.actions.back(), at) != std::string::npos &&
                       page.find("top after this step", at) != std::string::npos;
      found += all ? 1 : 0;
    }
    INFO(head);
    CHECK(found >= 1);
  }
}
