// small_job.h: a job of a few lines, asked what the rules say.
#pragma once

#include <catch2/catch.hpp>
#include <string>
#include <vector>

#include "catalogue/catalogue.h"
#include "core/diagnostic.h"
#include "job/job.h"
#include "rules/rule.h"

namespace handlot::test {

inline const catalogue::Catalogue& test_cards() {
  static const catalogue::Catalogue cards = [] {
    const std::vector<std::string> folders{std::string(HANDLOT_TOP) + "/parts", std::string(HANDLOT_TOP) + "/tests/rules/cards"};
    auto read = catalogue::Catalogue::read(folders);
    if (!read) {
      for (const Diagnostic& d : read.error()) UNSCOPED_INFO(format(d));
      FAIL("the cards do not read");
    }
    return *read;
  }();
  return cards;
}

/// `device` and `steps` are the inside of those elements; `joints` that of <joints>.
inline job::Job small_job(const std::string& device, const std::string& joints, const std::string& steps, int units = 2) {
  const std::string text =
      "<job version='1' name='Small' revision='A'><lot units='" + std::to_string(units) +
      "' start='2026-12-01 08:30'/><bench zone='Europe/Paris'><room temperature='22 degC' humidity='50 %RH' volume='30 m3' air-changes='2 /h'/>"
      "<hours days='mon tue wed thu fri' from='08:30' to='17:00'/><person id='me'/><station id='oven' places='6' together='yes'/>"
      "<station id='top'/><fixture id='clamp' count='4'/></bench><device>" +
      device + "</device><joints>" + joints + "</joints><steps>" + steps + "</steps></job>";
  auto read = job::parse_job(text, "small.xml", test_cards());
  if (!read) {
    for (const Diagnostic& d : read.error()) UNSCOPED_INFO(format(d));
    FAIL("the small job does not read");
  }
  return *read;
}

}  // namespace handlot::test
