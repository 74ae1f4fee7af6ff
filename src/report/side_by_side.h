// Evaluations that reports need many of, spread over threads.
#pragma once

#include <functional>

#include "report/report.h"

namespace steerbench {

// What each setup changes against the base, by setup; that of the base is empty.
[[nodiscard]] SwapsBySetup SwapsAgainst(const std::vector<SetupReport>& setups, std::size_t base,
                                        int threads);

// A setup all over the ± of its numbers, drawn as is usual (draws.h). `watch` is told now and then,
// from one thread, which share is done.
[[nodiscard]] DrawnOver DrawMany(const SetupReport& setup, std::size_t draws, int threads,
                                 const std::function<void(double)>& watch = {});

}  // namespace steerbench
