// What a logger's files mean, as a few plain lines.
#include <fmt/format.h>

#include "core/text.h"
#include "reflow/log.h"
#include "reflow/log_text.h"

namespace handlot::reflow {

namespace {

const char* word_of(TimeUnit unit) {
  switch (unit) {
    case TimeUnit::milliseconds:
      return "ms";
    case TimeUnit::seconds:
      return "s";
    case TimeUnit::minutes:
      return "min";
    case TimeUnit::hours:
      return "h";
    case TimeUnit::days:
      return "d";
  }
  return "s";
}

const char* word_of(TemperatureUnit unit) {
  switch (unit) {
    case TemperatureUnit::celsius:
      return "C";
    case TemperatureUnit::fahrenheit:
      return "F";
    case TemperatureUnit::kelvin:
      return "K";
  }
  return "C";
}

std::optional<ChannelSays> channel_from(std::string_view value) {
  std::vector<std::string_view> parts;
  text::split(value, '|', parts);
  if (parts.size() < 2 || parts.size() > 4 || parts[0].empty()) return std::nullopt;
  parts.resize(4);
  const auto role = role_named(parts[1]);
  if (!role) return std::nullopt;
  return ChannelSays{std::string(parts[0]), *role, std::string(parts[2]), std::string(parts[3])};
}

bool take(LoggerMemory& memory, std::string_view key, std::string_view value) {
  double amount = 0;
  if (key == "signature") return memory.signature = std::string(value), true;
  if (key == "time" && value == "d") return memory.time = TimeUnit::days, true;  // no unit of a head: "TC d" is a place
  if (key == "time") return (memory.time = text::time_unit(value)).has_value();
  if (key == "temperature") return (memory.temperature = text::temperature_unit(value)).has_value();
  if (key == "decimal") return value == "." || value == "," ? (memory.decimal_mark = value[0], true) : false;
  if (key == "period" && text::figure(value, '.', amount) && amount > 0)
    return memory.period = Seconds(amount), true;
  if (key == "channel") {
    const auto says = channel_from(value);
    if (says) memory.channels.push_back(*says);
    return says.has_value();
  }
  return false;
}

}  // namespace

std::string to_text(const LoggerMemory& memory) {
  std::string text = fmt::format("signature = {}\n", memory.signature);
  if (memory.time) text += fmt::format("time = {}\n", word_of(*memory.time));
  if (memory.temperature) text += fmt::format("temperature = {}\n", word_of(*memory.temperature));
  if (memory.decimal_mark) text += fmt::format("decimal = {}\n", *memory.decimal_mark);
  if (memory.period) text += fmt::format("period = {}\n", number(memory.period->value, 6));
  for (const ChannelSays& c : memory.channels) {
    text += fmt::format("channel = {} | {} | {} | {}\n", c.column, word(c.role), c.where, c.attached);
  }
  return text;
}

Result<LoggerMemory> memory_from(std::string_view written, std::string_view file) {
  LoggerMemory memory;
  Diagnostics faults;
  int line_number = 0;
  for (const std::string_view raw : text::lines_of(written)) {
    ++line_number;
    const std::string_view line = text::trimmed(raw);
    if (line.empty() || line.front() == '#') continue;
    const std::size_t equals = line.find('=');
    const bool good = equals != std::string_view::npos && take(memory, text::trimmed(line.substr(0, equals)),
                                                               text::trimmed(line.substr(equals + 1)));
    if (good) continue;
    faults.push_back(
        error("memory-bad-line", {std::string(file), line_number, 0},
              fmt::format("'{}' is not a line of a logger's memory", line.substr(0, 60)),
              "write signature, time, temperature, decimal, period or channel, then '=' and a value"));
  }
  if (!faults.empty()) return fail(std::move(faults));
  return memory;
}

}  // namespace handlot::reflow
