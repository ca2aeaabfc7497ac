// references.h: the references in a cell of a parts list, and how many of them are told in one sentence.
#pragma once

#include <string>
#include <vector>

#include "job/job.h"

namespace handlot::pipeline {

struct References {
  std::vector<std::string> refs;    ///< as listed, ranges written out
  std::vector<std::string> unread;  ///< what looks like a range and is none: "R3-C1"
};

/// Given    "R1 R2", "R1,R2", "R1/R2", "R1+R2", "C1,2,3", and ranges as "R1-R9", "R1-9", "R1 - R9", "R1..R9", "R1:R9", "R1~R9", "R1 to R9".
///          A word that is no reference is kept as it stands.
References references_in(std::string cell);

/// The job's own spelling of a reference that is written with other capitals; as it stands where the job has none like it.
std::string as_job_writes(const job::Job& job, const std::string& ref);

/// The first dozen, and how many more.
std::string some_of(std::vector<std::string> words);

}  // namespace handlot::pipeline
