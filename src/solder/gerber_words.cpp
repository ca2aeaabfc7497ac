#include "solder/gerber_words.h"

namespace handlot::solder::gerber {

Words words_of(std::string_view text) {
  Words out;
  Block block;
  std::string word;
  int line = 1, started = 1;
  for (const char c : text) {
    if (c == '\n') ++line;
    if (c == '\n' || c == '\r' || (c == ' ' && word.empty())) continue;
    if (c == '%') {
      if (block.extended && !block.words.empty()) out.blocks.push_back(block);
      block = Block{{}, {}, !block.extended};
      word.clear();
      started = line;
    } else if (c == '*') {
      block.words.push_back(word);
      block.lines.push_back(started);
      word.clear();
      if (!block.extended) {
        out.blocks.push_back(block);
        block = Block{};
      }
    } else {
      if (word.empty()) started = line;
      word += c;
    }
  }
  if (block.extended || !word.empty()) out.unclosed = started;
  return out;
}

}  // namespace handlot::solder::gerber
