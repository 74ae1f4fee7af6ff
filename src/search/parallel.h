// A loop over independent items on several threads.
#pragma once

#include <pthread.h>
#include <sched.h>

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <exception>
#include <mutex>
#include <optional>
#include <system_error>
#include <thread>
#include <vector>

namespace steerbench::search {

// How many threads this machine runs at a time; one where the system does not tell.
[[nodiscard]] inline int Cores() {
  return static_cast<int>(std::max(1u, std::thread::hardware_concurrency()));
}

// The cores that this thread may run on, and how to change them, where Linux tells.
inline std::optional<cpu_set_t> CoresAllowed() {
  cpu_set_t all;
  if (sched_getaffinity(0, sizeof all, &all) != 0) return std::nullopt;
  return all;
}
// Moves another thread off the core that runs this one. Else Linux may begin it there, where it
// waits for longer than a short loop takes while other cores are idle.
inline void MoveOffThisCore(std::jthread& thread, cpu_set_t others) {
  const int here = sched_getcpu();
  if (here < 0 || here >= CPU_SETSIZE) return;
  CPU_CLR(here, &others);
  if (CPU_COUNT(&others) > 0) {
    pthread_setaffinity_np(thread.native_handle(), sizeof others, &others);
  }
}

// Calls f(thread, index) once for each index below `count`. What is thrown is thrown on, once all
// threads are done. Where the system has no thread left, fewer do the work.
template <class F>
void ParallelFor(int threads, std::size_t count, F&& f) {
  std::atomic<std::size_t> next{0};
  std::mutex mutex;
  std::exception_ptr thrown;
  const auto work = [&](std::size_t thread) {
    try {
      for (std::size_t i = next++; i < count; i = next++) f(thread, i);
    } catch (...) {
      const std::lock_guard lock(mutex);
      if (!thrown) thrown = std::current_exception();
      next = count;
    }
  };
  const std::optional<cpu_set_t> cores = CoresAllowed();
  std::atomic<std::size_t> moved{0};  // helpers that have begun where they should
  const auto help = [&](std::size_t thread) {
    for (std::size_t so_far = moved; so_far < thread; so_far = moved) moved.wait(so_far);
    if (cores) sched_setaffinity(0, sizeof *cores, &*cores);  // from here on anywhere again
    work(thread);
  };
  {
    std::vector<std::jthread> others;
    try {
      const std::size_t useful = std::min(static_cast<std::size_t>(std::max(threads, 1)), count);
      others.reserve(useful);
      for (std::size_t t = 1; t < useful; ++t) {
        others.emplace_back(help, t);
        if (cores) MoveOffThisCore(others.back(), *cores);
        moved = t;
        moved.notify_all();
      }
    } catch (const std::system_error&) {
    }
    work(0);
  }
  if (thrown) std::rethrow_exception(thrown);
}

}  // namespace steerbench::search
