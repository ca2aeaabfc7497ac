#include "reflow/log.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <fmt/format.h>
#include <functional>

#include "board_log.h"
#include "core/text.h"
#include "reflow/figures.h"

using namespace handlot;
using namespace handlot::literals;
using namespace handlot::reflow;

namespace {

std::string faults(const Result<Log>& log) {
  std::string all;
  if (!log)
    for (const Diagnostic& d : log.error()) all += format(d);
  return all;
}

std::string code(const Result<Log>& log) {
  return log ? "read" : log.error().front().code;
}

std::string comma(std::string text) {
  for (char& c : text)
    if (c == '.') c = ',';
  return text;
}

std::string clock_of(double s, double start) {
  double t = std::fmod(start + s, 86400.0);
  const int h = static_cast<int>(t) / 3600, m = static_cast<int>(t) / 60 % 60;
  return fmt::format("{:02d}:{:02d}:{:06.3f}", h, m, t - h * 3600 - m * 60);
}

std::string utf16(const std::string& text) {
  std::string out = "\xFF\xFE";
  for (char c : text) out += c, out += '\0';
  return out;
}

struct Dialect {
  const char* name;
  std::function<std::string(const Trace&)> write;
};

std::string rows(const Trace& log, const std::string& head,
                 const std::function<std::string(double, double)>& row) {
  std::string text = head;
  for (std::size_t i = 0; i < log.size(); ++i) text += row(log.seconds[i], log.celsius[i]);
  return text;
}

const std::vector<Dialect> kDialects{
    {"plain",
     [](const Trace& l) {
       return rows(l, "time_s,temp_C\n",
                   [](double t, double c) { return fmt::format("{:.2f},{:.2f}\n", t, c); });
     }},
    {"semicolons and decimal commas, mark, CRLF",
     [](const Trace& l) {
       return "\xEF\xBB\xBF" +
              rows(l,
                   "Time (s);Board (\xC2\xB0"
                   "C)\r\n",
                   [](double t, double c) { return comma(fmt::format("{:.2f};{:.2f}\r\n", t, c)); });
     }},
    {"tabs, minutes",
     [](const Trace& l) {
       return rows(l, "Elapsed [min]\tTC1 [degC]\n",
                   [](double t, double c) { return fmt::format("{:.6f}\t{:.2f}\n", t / 60, c); });
     }},
    {"blanks, Fahrenheit",
     [](const Trace& l) {
       return rows(l, "Time (s) Temp (F)\n",
                   [](double t, double c) { return fmt::format("{:.2f}  {:.4f}\n", t, c * 1.8 + 32); });
     }},
    {"Kelvin, milliseconds",
     [](const Trace& l) {
       return rows(l, "elapsed_ms,T1_K\n",
                   [](double t, double c) { return fmt::format("{:.0f},{:.2f}\n", t * 1000, c + 273.15); });
     }},
    {"quoted, units row, process row",
     [](const Trace& l) {
       return rows(
           l,
           "\"TABLE\",\"bench\",\"logger 7\"\n\"TIMESTAMP\",\"RECORD\",\"Board_centre\"\n\"TS\",\"RN\",\"Deg "
           "C\"\n\"\",\"\",\"Smp\"\n",
           [](double t, double c) {
             return fmt::format("\"2026-02-01 {}\",{},{:.2f}\n", clock_of(t, 36000), static_cast<int>(t * 2),
                                c);
           });
     }},
    {"clock over midnight",
     [](const Trace& l) {
       return rows(l, "Clock;Probe C\n", [](double t, double c) {
         return comma(fmt::format("{};{:.2f}\n", clock_of(t, 86400 - 200), c));
       });
     }},
    {"quoted decimal commas between commas, date beside clock",
     [](const Trace& l) {
       return rows(l, "Date,Time,\"Temp, C\"\n", [](double t, double c) {
         return fmt::format("01/02/2026,{},\"{}\"\n", clock_of(t, 100), comma(fmt::format("{:.2f}", c)));
       });
     }},
    {"a row counter, and a clock under a head that says nothing",
     [](const Trace& l) {
       int row = 0;
       return rows(l, "rec,mm:ss,Board C\n", [&](double t, double c) {
         return fmt::format("{},{:02}:{:05.2f},{:.2f}\n", row++, static_cast<int>(t) / 60, t - 60 * (static_cast<int>(t) / 60), c);
       });
     }},
    {"UTF-16, several channels",
     [](const Trace& l) {
       return utf16(rows(l, "Time\tSetpoint\tInput\tOutput\tBoard C\n", [](double t, double c) {
         return fmt::format("{:.2f}\t150\t{:.2f}\t50\t{:.2f}\n", t, c + 20, c);
       }));
     }},
    {"talk before the table, bars, unit in each field, no unit said",
     [](const Trace& l) {
       return rows(l, "# my logger\nSerial: 12\n\ntime | temp\n", [](double t, double c) {
         return fmt::format(
             "{:.2f} s | {:.2f} \xC2\xB0"
             "C\n",
             t, c);
       });
     }},
    {"no headings, single carriage returns",
     [](const Trace& l) {
       return rows(l, "", [](double t, double c) { return fmt::format("{:.2f},{:.2f}\r", t, c); });
     }},
    {"twelve-hour clock",
     [](const Trace& l) {
       return rows(l, "Timestamp,Temp C\n", [](double t, double c) {
         const double s = 11 * 3600 + 57 * 60 + t;
         const bool pm = s >= 43200;
         const double in = s >= 13 * 3600 ? s - 43200 : s;
         return fmt::format("{} {},{:.2f}\n", clock_of(in, 0), pm ? "PM" : "AM", c);
       });
     }},
};

}  // namespace

TEST_CASE("a dozen dialects of the board log give the same figures", "[reflow][truth]") {
  NEED_BOARD_LOG(plain);
  REQUIRE(kDialects.size() >= 10);
  for (const Dialect& dialect : kDialects) {
    CAPTURE(dialect.name);
    const auto log = read_log(dialect.write(plain), "log.csv");
    INFO(faults(log));
    REQUIRE(log.has_value());
    const Trace trace = trace_of(*log, log->channels.back());
    REQUIRE(trace.size() == 709);
    CHECK(trace.gaps.empty());
    CHECK(peak(trace).temperature.value == Approx(242.28).margin(0.005));
    CHECK(time_above(trace, 217_degC).value == Approx(80.2993).margin(0.002));
    CHECK(rise_time(trace, 150_degC, 190_degC)->value == Approx(99.5439).margin(0.002));
    CHECK(least_squares_slopes(trace, 10_s)->steepest_rise.value.value == Approx(2.0411).margin(0.0005));
  }
}

TEST_CASE("what a log does not say is said to be assumed", "[reflow]") {
  NEED_BOARD_LOG(plain);
  const auto log = read_log(
      rows(plain, "time,temp\n", [](double t, double c) { return fmt::format("{},{}\n", t, c); }), "a.csv");
  REQUIRE(log.has_value());
  REQUIRE(log->assumptions.size() == 2);
  CHECK(log->assumptions[0].what == "times are taken as seconds");
  CHECK(log->assumptions[1].what == "temperatures are taken as degrees Celsius");
  CHECK(log->channels[0].role == ChannelRole::unknown);
  // A log that says both has nothing to assume.
  const auto said = read_log(
      rows(plain, "time_s,temp_C\n", [](double t, double c) { return fmt::format("{},{}\n", t, c); }),
      "a.csv");
  CHECK(said->assumptions.empty());
}

TEST_CASE("a German set curve is one, and is not judged as a channel", "[reflow]") {
  for (const char* name : {"Soll", "Sollwert", "Soll Ofen"}) {
    std::string text = fmt::format("Zeit (s);TC1 (degC);{} (degC)\n", name);
    for (int t = 0; t < 60; ++t) text += fmt::format("{};{};{}\n", t, 25 + t, 30 + t);
    const auto log = read_log(text, "a.csv");
    REQUIRE(log.has_value());
    REQUIRE(log->channels.size() == 2);
    CHECK(log->channels[1].role == ChannelRole::set_curve);
  }
}

TEST_CASE("units that the readings do not settle are asked for", "[reflow][errors]") {
  std::string slow = "time,temp_C\n", warm = "time_s,temp\n";
  for (int i = 0; i < 50; ++i) {
    slow += fmt::format("{},{}\n", i, 25 + i);
    warm += fmt::format("{},{}\n", i * 5, 60 + i);
  }
  CHECK(code(read_log(slow, "a.csv")) == "log-time-unit");
  CHECK(code(read_log(warm, "a.csv")) == "log-temperature-unit");
  LoggerMemory said;
  said.time = TimeUnit::minutes;
  CHECK(read_log(slow, "a.csv", said)->seconds.back() == 49 * 60);
  said = {};
  said.temperature = TemperatureUnit::fahrenheit;
  CHECK(read_log(warm, "a.csv", said)->channels[0].celsius[0] == Approx((60 - 32) / 1.8));
}

TEST_CASE("a number that each row is given is no time", "[reflow][errors]") {
  const auto counted_rows = [](const std::string& head, int first) {
    std::string text = head;
    for (int i = 0; i < 200; ++i) text += fmt::format("{},{:.1f},{:.1f}\n", first + i, 25 + i * 0.9, 24 + i * 0.9);
    return text;
  };
  for (const char* name : {"Sample", "No.", "Reading", "#", "Index"}) {
    INFO(name);
    const std::string columns = std::string(name) + ",board 1 (degC),board 2 (degC)\n";
    CHECK(code(read_log(counted_rows(columns, 1), "a.csv")) == "log-no-time");
    for (const char* told : {"Interval: 2 s\n", "Sample interval (s): 2\n", "Logging interval,00:00:02\n", "# interval = 2000 ms\n", "Sampling period: 2,0 sec\n"}) {
      INFO(told);
      const auto log = read_log(counted_rows(told + columns, 1), "a.csv");
      INFO(faults(log));
      REQUIRE(log.has_value());
      CHECK(log->seconds.back() - log->seconds.front() == Approx(398));
      CHECK(log->channels.size() == 2);
    }
    // What is no interval between rows, or says two, is not taken for one.
    CHECK(code(read_log(counted_rows("Calibration interval: 30 s\n" + columns, 1), "a.csv")) == "log-no-time");
    CHECK(code(read_log(counted_rows("Interval: 12 min\n" + columns, 1), "a.csv")) == "log-no-time");
    CHECK(code(read_log(counted_rows("Interval: 2 s\nLogging interval: 1 s\n" + columns, 1), "a.csv")) == "log-no-time");
  }
  LoggerMemory said;
  said.period = 2_s;
  const auto log = read_log(counted_rows("Sample,board 1 (degC),board 2 (degC)\n", 0), "a.csv", said);
  REQUIRE(log.has_value());
  CHECK(log->seconds.back() == 398);
  // A first column that nobody calls a number of rows stays the time, whatever its name.
  CHECK(code(read_log(counted_rows("x,board 1 (degC),board 2 (degC)\n", 0), "a.csv")) == "read");
}

TEST_CASE("the rows that a counter leaves out are missing, not closed up", "[reflow]") {
  std::string text = "Interval: 2 s\nSample,board (degC)\n";
  for (int i = 0; i < 200; ++i)
    if (i < 50 || i >= 60) text += fmt::format("{},{:.1f}\n", i, 25 + i * 0.9);
  const auto log = read_log(text, "a.csv");
  REQUIRE(log.has_value());
  CHECK(log->seconds.back() == 398);
  CHECK(log->gaps.size() == 1);
}

TEST_CASE("rows under a clock that hardly moves are as far apart as is said", "[reflow]") {
  std::string text = "Time,board (degC)\n";
  for (int i = 0; i < 300; ++i) text += fmt::format("14:{:02},{:.1f}\n", i / 60, 25 + i * 0.6);
  CHECK(code(read_log(text, "a.csv")) == "log-time-backward");
  LoggerMemory said;
  said.period = 1_s;
  const auto log = read_log(text, "a.csv", said);
  REQUIRE(log.has_value());
  CHECK(log->seconds.back() == 299);
}

TEST_CASE("a slow log is known by its first row, not by the climb after it", "[reflow]") {
  std::string text = "time (s),TC1\n";
  const std::vector<double> celsius{25, 53.88, 98.51, 143.55, 167.22, 184.4, 201.21, 220.79, 240.7, 238.6, 184.85, 145.07};
  for (std::size_t i = 0; i < celsius.size(); ++i) text += fmt::format("{},{}\n", 30 * i, celsius[i]);
  const auto log = read_log(text, "slow.csv");
  REQUIRE(log.has_value());
  CHECK(log->memory.temperature == TemperatureUnit::celsius);
}

TEST_CASE("tokens for open and out of range become gaps that are counted", "[reflow]") {
  std::string text = "time_s;T1_C;T2_C\n";
  const char* tokens[] = {"open", "OL", "---", "NaN", "9999", "-200", "*****", ""};
  for (int i = 0; i < 100; ++i)
    text += fmt::format("{};{};{}\n", i, i >= 40 && i < 48 ? tokens[i - 40] : std::to_string(25 + i), 26 + i);
  const auto log = read_log(text, "a.csv");
  INFO(faults(log));
  REQUIRE(log.has_value());
  const Channel& c = log->channels[0];
  CHECK(c.open == 1);
  CHECK(c.out_of_range == 4);
  CHECK(c.no_data == 3);
  const Trace trace = trace_of(*log, c);
  REQUIRE(trace.gaps.size() == 1);
  CHECK(trace.gaps[0].from.value == 39);
  CHECK(trace.gaps[0].to.value == 48);
  CHECK(trace_of(*log, log->channels[1]).gaps.empty());
}

TEST_CASE("missing rows, doubled rows and a row out of order are mended and told", "[reflow]") {
  std::string text = "time_s,T1_C\n";
  for (int i = 0; i < 100; ++i) {
    if (i > 50 && i < 60) continue;
    text += fmt::format("{},{}\n", i, 25 + i);
    if (i == 20) text += "20,45\n";
    if (i == 30) text += "30,56\n";
    if (i == 80) text += "40,65\n";
  }
  const auto log = read_log(text, "a.csv");
  REQUIRE(log.has_value());
  CHECK(log->seconds.size() == 91);
  REQUIRE(log->gaps.size() == 1);
  CHECK(log->gaps[0].from.value == 50);
  REQUIRE(log->warnings.size() == 2);
  CHECK(format(log->warnings[0]) ==
        "a.csv:23: warning: 2 rows of the same time left out (1 with other readings, at most 1 apart) "
        "[log-doubled-time]\n"
        "  mend: check the logger's clock\n");
  CHECK(log->warnings[1].code == "log-row-out-of-order");
}

TEST_CASE("a clock that ticks slower than the rows come is spread over its ticks", "[reflow]") {
  std::string text = "Time,T1_C\n";
  for (int i = 2; i < 400; ++i)
    text += fmt::format("{},{:.2f}\n", clock_of(i / 4, 0).substr(0, 8), 25 + i * 0.25);
  const auto log = read_log(text, "a.csv");
  INFO(faults(log));
  REQUIRE(log.has_value());
  for (std::size_t i = 1; i < log->seconds.size(); ++i)
    CHECK(log->seconds[i] - log->seconds[i - 1] == Approx(0.25).margin(1e-9));
}

TEST_CASE("a time that runs back is refused with its line", "[reflow][errors]") {
  std::string text = "time_s,T1_C\n";
  for (int run = 0; run < 2; ++run)
    for (int i = 0; i < 50; ++i) text += fmt::format("{},{}\n", i, 25 + i);
  const auto log = read_log(text, "two.csv");
  REQUIRE_FALSE(log.has_value());
  CHECK(format(log.error().front()) ==
        "two.csv:52: error: the time runs back from 49 s to 0 s [log-time-backward]\n"
        "  mend: cut the file where a second run starts, or where the clock was set, and read the parts one "
        "by one\n");
}

TEST_CASE("commas that stand for two things are refused", "[reflow][errors]") {
  std::string text = "time,temp\n";
  for (int i = 0; i < 50; ++i) text += fmt::format("{},5,{},3\n", i, 25 + i);
  CHECK(code(read_log(text, "a.csv")) == "log-comma-clash");
  CHECK(code(read_log(text.substr(10), "a.csv")) == "log-time-unit");  // four columns without names
  std::string halves;
  for (int i = 0; i < 50; ++i) halves += fmt::format("{},{},{},3\n", i / 2, i % 2 * 5, 25 + i);
  CHECK(code(read_log(halves, "a.csv")) == "log-comma-clash");
}

TEST_CASE("what was said of a logger is kept, read back and used", "[reflow]") {
  NEED_BOARD_LOG(plain);
  const std::string text =
      rows(plain, "t,A,B\n", [](double t, double c) { return fmt::format("{},{},{}\n", t, c, c + 5); });
  LoggerMemory said;
  said.channels = {{"A", ChannelRole::board, "corner by the door", "tape"}, {"B", ChannelRole::air, "", ""}};
  const auto log = read_log(text, "a.csv", said);
  INFO(faults(log));
  REQUIRE(log.has_value());
  CHECK(log->channels[0].role == ChannelRole::board);
  CHECK(log->channels[0].where == "corner by the door");
  const auto back = memory_from(to_text(log->memory), "memory");
  REQUIRE(back.has_value());
  CHECK(*back == log->memory);
  const auto again = read_log(text, "a.csv", *back);
  REQUIRE(again.has_value());
  CHECK(again->assumptions.empty());  // nothing is asked or assumed twice
  said.channels[0].column = "AA";
  CHECK(code(read_log(text, "a.csv", said)) == "log-unknown-column");
  CHECK(memory_from("time = fortnights\nx\n", "m").error().size() == 2);
}

TEST_CASE("a hundred hostile logs give an answer or a clear error", "[reflow][errors]") {
  NEED_BOARD_LOG(plain);
  const std::string good = rows(board_log::every(plain, 8), "time_s,temp_C\n",
                                [](double t, double c) { return fmt::format("{:.2f},{:.2f}\n", t, c); });
  std::vector<std::string> hostile{"",
                                   " \n\n",
                                   "\xEF\xBB\xBF",
                                   "\xFF\xFE",
                                   std::string(1000, '\0'),
                                   "time,temp",
                                   "time,temp\n",
                                   "time_s,temp_C\n1,2\n",
                                   ",,,,,\n,,,,,\n",
                                   std::string(100000, ','),
                                   std::string(100000, '"'),
                                   std::string(100000, '1'),
                                   "\"" + good,
                                   good + "\"",
                                   "a\tb;c,d|e f\n",
                                   "time_s,temp_C\n" + std::string(50, '\n') + "x",
                                   "1e308,1e308\n1e309,1e309\n",
                                   "nan,nan\nnan,nan\nnan,nan\n",
                                   "12:00:00,25\n12:00:01,26\n",
                                   ":::,:::\n:::,:::\n",
                                   "-,-\n-,-\n-,-\n",
                                   "0x10,0x20\n0x11,0x21\n",
                                   "time_s,temp_C\n" + std::string(200, '0'),
                                   "GIF89a\x01\x02\x03",
                                   "<?xml version=\"1.0\"?><log/>\n",
                                   "{\"time\": [0,1,2], \"temp\": [25,26,27]}\n",
                                   "%PDF-1.4\n",
                                   "PK\x03\x04\n"};
  unsigned seed = 11;
  const auto draw = [&](std::size_t n) {
    seed = seed * 1664525u + 1013904223u;
    return static_cast<std::size_t>(seed >> 8) % n;
  };
  const char* junk[] = {",",    ";",  "\n",  "\"", "\r", "-",    "e", "open",
                        "1e99", "\t", "nan", ":",  ".",  "\xFF", " ", "99999999999999999999"};
  while (hostile.size() < 140) {
    std::string text = good;
    const std::size_t kind = draw(5);
    for (std::size_t n = 1 + draw(kind == 0 ? 200 : 6); n > 0; --n) {
      const std::size_t at = draw(text.size());
      if (kind == 0) text[at] = static_cast<char>(1 + draw(255));
      if (kind == 1) text.insert(at, junk[draw(16)]);
      if (kind == 2) text.erase(at, draw(200));
      if (kind == 3) text.insert(at, text.substr(draw(text.size()), draw(300)));
      if (kind == 4) text.resize(at + 1);
      if (text.empty()) text = "x";
    }
    hostile.push_back(std::move(text));
  }
  int read = 0, refused = 0;
  for (const std::string& text : hostile) {
    const auto log = read_log(text, "hostile.csv");
    if (log) {
      ++read;
      REQUIRE(log->seconds.size() >= 2);
      for (std::size_t i = 1; i < log->seconds.size(); ++i) REQUIRE(log->seconds[i] > log->seconds[i - 1]);
      for (const Channel& c : log->channels) REQUIRE(c.celsius.size() == log->seconds.size());
    } else {
      ++refused;
      REQUIRE_FALSE(log.error().empty());
      for (const Diagnostic& d : log.error()) {
        CHECK(d.code.starts_with("log-"));
        CHECK_FALSE(d.text.empty());
        CHECK_FALSE(d.mend.empty());
        CHECK(d.place.file == "hostile.csv");
      }
    }
  }
  CHECK(read + refused >= 100);
  CHECK(read > 10);
  CHECK(refused > 40);
}

namespace {

/// A pass with two channels, the second 1 K colder, in the unit and with the head that are given.
std::string pass_in(const std::string& head, const std::function<double(double)>& unit) {
  std::string text = head;
  for (int i = 0; i <= 400; ++i) {
    const double c = i < 240 ? 25 + i * 0.9 : 241 - (i - 240) * 1.2;
    text += fmt::format("{},{:.1f},{:.1f}\n", i, unit(c), unit(c - 1));
  }
  return text;
}

}  // namespace

TEST_CASE("a unit that the readings belie is asked for, and what is said overrules the label", "[reflow][errors]") {
  const auto same = [](double c) { return c; };
  const auto fahrenheit = [](double c) { return c * 1.8 + 32; };
  const std::string as_c = "time (s),board 1 (degC),board 2 (degC)\n", as_f = "time (s),board 1 (degF),board 2 (degF)\n";
  const auto hot = read_log(pass_in(as_c, fahrenheit), "a.csv");
  CHECK(code(hot) == "log-temperature-unit");
  CHECK(faults(hot).find("says degrees Celsius, and its readings (from 77 to 465.8) are those of a pass in degrees Fahrenheit") != std::string::npos);
  CHECK(faults(hot).find("--temperature F or C") != std::string::npos);
  CHECK(code(read_log(pass_in(as_f, same), "a.csv")) == "log-temperature-unit");
  CHECK(code(read_log(pass_in("time (s),board 1 (K),board 2 (K)\n", same), "a.csv")) == "log-temperature-unit");  // the letter of the thermocouple
  CHECK(code(read_log(pass_in(as_c, same), "a.csv")) == "read");
  CHECK(code(read_log(pass_in(as_f, fahrenheit), "a.csv")) == "read");
  // A board too cold, or too hot by far, is none in another unit.
  CHECK(code(read_log(pass_in(as_f, [&](double c) { return fahrenheit(25 + (c - 25) / 3); }), "a.csv")) == "read");
  CHECK(code(read_log(pass_in(as_c, [](double c) { return c * 1.5; }), "a.csv")) == "read");
  std::string heater = "time (s),board (degC),heater (degC)\n";
  for (int i = 0; i <= 240; ++i) heater += fmt::format("{},{:.1f},{:.1f}\n", i, 25 + i * 0.9, 60 + i * 1.6);
  CHECK(code(read_log(heater, "a.csv")) == "read");
  LoggerMemory said;
  said.temperature = TemperatureUnit::fahrenheit;
  const auto told = read_log(pass_in(as_c, fahrenheit), "a.csv", said);
  REQUIRE(told.has_value());
  CHECK(told->channels[0].celsius[0] == Approx(25));
  CHECK(std::any_of(told->assumptions.begin(), told->assumptions.end(), [](const Assumption& a) { return a.why.find("though the log says degrees Celsius") != std::string::npos; }));
}

TEST_CASE("the newest row first is read from the last, by number and by clock", "[reflow]") {
  std::string numbers = "time (s),T1 (degC)\n", clocks = "Time,T1 (degC)\n";
  for (int i = 300; i >= 0; --i) {
    numbers += fmt::format("{},{:.1f}\n", i, 25 + i * 0.7);
    clocks += fmt::format("{},{:.1f}\n", clock_of(i, 36000), 25 + i * 0.7);
  }
  for (const std::string& text : {numbers, clocks}) {
    const auto log = read_log(text, "a.csv");
    INFO(faults(log));
    REQUIRE(log.has_value());
    CHECK(log->seconds.front() == 0);
    CHECK(log->seconds.back() == 300);
    CHECK(log->channels[0].celsius.front() == 25);
    CHECK(log->lines.front() == 302);
    CHECK(std::any_of(log->assumptions.begin(), log->assumptions.end(), [](const Assumption& a) { return a.why == "the newest stands first"; }));
  }
}

TEST_CASE("the day numbers of a table are times", "[reflow]") {
  std::string text = "Time,T1 (degC)\n", early = "Time,T1 (degC)\n";
  for (int i = 0; i <= 300; ++i) {
    text += fmt::format("{:.8f},{:.1f}\n", 46330.6 + i / 86400.0, 25 + i * 0.7);
    early += fmt::format("{:.8f},{:.1f}\n", i / 86400.0, 25 + i * 0.7);
  }
  const auto log = read_log(text, "a.csv");
  INFO(faults(log));
  REQUIRE(log.has_value());
  CHECK(log->seconds.back() - log->seconds.front() == Approx(300).margin(0.01));
  // Without a date it could be anything: asked, and taken as said.
  CHECK(code(read_log(early, "a.csv")) == "log-time-unit");
  const auto said = memory_from("time = d\n", "a.channels");
  REQUIRE(said.has_value());
  CHECK(read_log(early, "a.csv", *said)->seconds.back() == Approx(300).margin(0.01));
  CHECK(memory_from(to_text(*said), "a.channels")->time == TimeUnit::days);
}

TEST_CASE("a head may go over two lines within its quotes, and a stray quote swallows nothing", "[reflow]") {
  std::string rows, plain;
  for (int i = 0; i <= 300; ++i) {
    rows += fmt::format("\"{},0\";\"{},5\"\n", i, 25 + i / 2);
    plain += fmt::format("{};{}\n", i, 25 + i / 2);
  }
  const auto log = read_log("\"Time, s\";\"Board\n(\xC2\xB0" "C)\"\n" + rows, "a.csv");
  INFO(faults(log));
  REQUIRE(log.has_value());
  CHECK(log->channels[0].name == "Board");
  CHECK(log->channels[0].role == ChannelRole::board);
  CHECK(log->lines.front() == 3);
  for (const char* talk : {"board 12\" wide\n", "\"my log\n", "remark; \"open\n"}) {
    INFO(talk);
    const auto stray = read_log(std::string(talk) + "time (s);board (degC)\n" + plain, "a.csv");
    INFO(faults(stray));
    REQUIRE(stray.has_value());
    CHECK(stray->seconds.size() == 301);
    CHECK(stray->channels[0].name == "board");
  }
}
