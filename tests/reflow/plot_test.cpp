#include "reflow/plot.h"

#include <catch2/catch.hpp>
#include <fstream>

#include "board_log.h"

using namespace handlot;
using namespace handlot::literals;
using namespace handlot::reflow;

namespace {

Log two_places(const Trace& board) {
  Log log;
  log.file = "run-3.csv";
  log.seconds = board.seconds;
  log.step = typical_step(board);
  Channel a{"TC1", ChannelRole::board, "centre", "tape", board.celsius, 0, 0, 0};
  Channel b{"TC2", ChannelRole::board, "corner", "tape", board.celsius, 0, 0, 0};
  for (double& t : b.celsius) t = 25 + (t - 25) * 0.985;
  Channel air{"Oven", ChannelRole::air, "", "", board.celsius, 0, 0, 0};
  for (std::size_t i = 0; i < air.celsius.size(); ++i)
    air.celsius[i] =
        std::min(at(board, Seconds(board.seconds[i] + 35)).value + 6, 30 + 3 * (board.seconds[i] - 19));
  log.channels = {a, b, air};
  return log;
}

std::size_t count(const std::string& text, const std::string& word) {
  std::size_t n = 0;
  for (auto at = text.find(word); at != std::string::npos; at = text.find(word, at + 1)) ++n;
  return n;
}

}  // namespace

TEST_CASE("the plot marks what decides, and is the same bytes twice", "[reflow]") {
  NEED_BOARD_LOG(board);
  const PasteWindow paste = *practice_window("sac305");
  const Log log = two_places(board);
  const Verdict verdict = judge(log, criteria(paste));
  Trace predicted = board;
  for (double& t : predicted.celsius) t += 3;
  PlotOptions options;
  options.title = "Run 3 of the lamp board";
  options.predicted = &predicted;
  options.predicted_error = 2_K;
  const std::string svg = plot(log, verdict, paste, options);
  CHECK(svg == plot(log, verdict, paste, options));
  CHECK(count(svg, "<path") == 3 + 3 + 1);  // three channels, prediction and its band, the mark of the peak
  CHECK(svg.find("liquidus 217") != std::string::npos);
  CHECK(svg.find("Run 3 of the lamp board: " + std::string(word(verdict.answer))) != std::string::npos);
  CHECK(svg.find("decides: ") != std::string::npos);
  for (const char* phase : {">heat<", ">soak<", ">reflow<", ">cool<"})
    CHECK(svg.find(phase) != std::string::npos);
  std::ofstream(HANDLOT_BUILD "/plot.svg") << svg;
}

TEST_CASE("a long title is cut between letters, the answer is not, and labels stand apart", "[reflow]") {
  NEED_BOARD_LOG(board);
  const PasteWindow paste = *practice_window("sac305");
  const Log log = two_places(board);
  const Verdict verdict = judge(log, criteria(paste));
  PlotOptions options;
  for (int i = 0; i < 60; ++i) options.title += " Stra\xC3\x9F" "e";
  const std::string svg = plot(log, verdict, paste, options);
  CHECK(svg.find("...: " + std::string(word(verdict.answer)) + "</text>") != std::string::npos);
  CHECK(svg.find("\xC3...") == std::string::npos);  // never half a letter
  // Soak end at 200 and liquidus at 217 lie closer than a line of letters: their labels do not.
  std::vector<double> at;
  for (const char* words : {">soak 200<", ">liquidus 217<", ">peak 235 to 250<"}) {
    const auto end = svg.find(words);
    REQUIRE(end != std::string::npos);
    const auto y = svg.rfind(" y=\"", end);
    at.push_back(std::stod(svg.substr(y + 4)));
  }
  CHECK(at[0] - at[1] >= 3.2);
  CHECK(at[1] - at[2] >= 3.2);
}

TEST_CASE("a plot of very little is still a plot", "[reflow]") {
  Log log;
  log.file = "x";
  log.seconds = {0, 1};
  log.channels = {Channel{"a", ChannelRole::unknown, "", "", {25, 25}, 0, 0, 0}};
  const Verdict verdict = judge(log, {});
  CHECK(plot(log, verdict, {}).find("</svg>") != std::string::npos);
  CHECK(plot(Log{}, Verdict{}, {}).find("</svg>") != std::string::npos);
}

TEST_CASE("a plot of many rows stays small and keeps the peak", "[reflow]") {
  Log log;
  log.file = "x";
  Channel c{"a", ChannelRole::board, "", "", {}, 0, 0, 0};
  for (int i = 0; i < 100000; ++i) {
    log.seconds.push_back(i * 0.005);
    c.celsius.push_back(i == 61234 ? 240.0 : 25 + 200.0 * std::min(i, 100000 - i) / 50000);
  }
  log.channels = {c};
  const std::string svg = plot(log, judge(log, {}), *practice_window("sac305"));
  CHECK(svg.size() < 60000);
  CHECK(svg.find("240") != std::string::npos);
}
