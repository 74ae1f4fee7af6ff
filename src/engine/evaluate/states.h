// The states in which results are taken, and what the oil does in them that must be said.
#pragma once

#include <fmt/format.h>

#include <initializer_list>
#include <string_view>

#include "engine/evaluate/evaluate.h"

namespace steerbench {

inline constexpr double kKmh = 1.0 / 3.6;           // [m/s]
inline constexpr double kRoadSpeed = 80.0 * kKmh;   // [m/s]
inline constexpr double kRoadAcceleration = 3.0;    // [m/s^2], sideways, left bend
inline constexpr double kSlightAcceleration = 1.0;  // the same, for the feel on centre

// Keeps the marks of a state for WriteMarks.
template <class T>
void NoteMarks(Evaluation<T>& out, std::string_view state, hydraulics::Marks marks) {
  if (marks.bits != 0) out.marked.push_back({std::string(state), marks});
}

// Of results that miss nothing and yet could not be found: a note that says why, under the name of
// the first.
template <class T>
void SayNotKnown(Evaluation<T>& out, std::initializer_list<Output> ids, std::string_view why) {
  for (const Output id : ids) out.result[static_cast<std::size_t>(id)].failed = true;
  out.notes.push_back(fmt::format("{}: not known, {}", InfoOf(*ids.begin()).label, why));
}

// Adds a note for each mark kept: in which states, what, and whether it lies outside the model.
void WriteMarks(Evaluation<double>& out);

}  // namespace steerbench
