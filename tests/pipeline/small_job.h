// small_job.h: a plan of a job that a test writes itself.
#pragma once

#include <filesystem>
#include <fstream>
#include <string>

#include "pipeline/make_plan.h"

namespace small_job {

/// The job begins in Paris on Tuesday 2026-12-01 at 8:30 and is worked on by one person from 8:30 to 17:00. `inside` is what
/// stands between bench and end; `folder` keeps tests that run side by side apart; `room` goes into the bench.
inline handlot::pipeline::Request request(const std::string& folder, int units, const std::string& inside, const std::string& room = "") {
  const auto place = std::filesystem::temp_directory_path() / ("handlot-" + folder + "-test");
  std::filesystem::create_directories(place);
  const std::string file = (place / "job.xml").string();
  std::ofstream(file) << "<job version='1' name='Small' revision='A'><lot units='" << units << "' start='2026-12-01 08:30'/><bench zone='Europe/Paris'>" << room
                      << "<hours days='mon tue wed thu fri' from='08:30' to='17:00'/><person id='me'/></bench>" << inside << "</job>";
  handlot::pipeline::Request request;
  request.job_file = file;
  request.card_folders = {std::string(HANDLOT_TOP) + "/parts", std::string(HANDLOT_TOP) + "/tests/rules/cards"};
  request.want_pictures = false;
  return request;
}

}  // namespace small_job
