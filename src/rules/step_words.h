// step_words.h: what the builder says of a step in their own words, for rules that listen to them.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "job/job.h"

namespace handlot::rules {

/// Title and actions in lower case, with a blank between.
std::string step_words(const job::Step& step);

/// The same line by line, to ask for words that belong together.
std::vector<std::string> step_lines(const job::Step& step);

/// What the check lines of the step ask for, in lower case, with a blank before each.
std::string check_words(const job::Step& step);

/// One of the words stands in the text, by itself or within another word.
bool says_one_of(std::span<const std::string_view> words, std::string_view text);

/// The job says that `step` follows `other`, in an <after> of its own.
bool said_to_follow(const job::Step& step, const job::Step& other);

/// The word stands in the text by itself: "abs" in "box, abs", not in "absorber". Text in lower case.
bool says_word(std::string_view word, std::string_view text);
bool says_one_word(std::span<const std::string_view> words, std::string_view text);

}  // namespace handlot::rules
