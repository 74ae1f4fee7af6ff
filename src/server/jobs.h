// Work that takes a while: done beside the requests, with progress, and stopped when asked.
#pragma once

#include <condition_variable>
#include <cstdint>
#include <functional>
#include <map>
#include <mutex>
#include <optional>
#include <string>
#include <thread>

#include "server/message.h"

namespace steerbench::server {

enum class JobState : std::uint8_t { kRunning, kDone, kFailed, kStopped };

struct JobReport {
  JobState state = JobState::kRunning;
  double progress = 0.0;  // 0..1
  std::string result;     // JSON text of one that is done
  std::string error;      // of one that failed, for people
};
// "running", "done", "failed", "stopped".
[[nodiscard]] std::string_view WordFor(JobState state);

// Thrown through work that was stopped.
struct JobStopped {};

// May be used by several threads at once. The destructor stops all work and waits for it.
class Jobs {
 public:
  // Tells the share done; throws JobStopped when the work is to end.
  using Tell = std::function<void(double)>;
  // Gives the result as JSON text. Throws std::runtime_error with words for people when it fails.
  using Work = std::function<std::string(const Tell&)>;
  // Told of every change of a job, now and then of its progress.
  using Listener = std::function<void(std::uint64_t id, const JobReport&)>;

  explicit Jobs(Listener listener) : listener_(std::move(listener)) {}
  Jobs(const Jobs&) = delete;
  Jobs& operator=(const Jobs&) = delete;
  ~Jobs();

  // Begins work; unset when kMostRunning are at it already, or no thread can be had.
  [[nodiscard]] std::optional<std::uint64_t> Start(Work work);
  // Unset when there is none of this number; of those that ended the last kKept are remembered.
  [[nodiscard]] std::optional<JobReport> Look(std::uint64_t id) const;
  // False when there is none of this number. One that has ended stays as it is.
  bool Stop(std::uint64_t id);

  static constexpr std::size_t kMostRunning = 2;
  static constexpr std::size_t kKept = 32;

 private:
  struct Job {
    JobReport report;
    bool stop = false;
  };
  void Run(std::uint64_t id, const Work& work);
  void Progress(std::uint64_t id, double share);
  void End(std::uint64_t id, const JobReport& report);

  Listener listener_;
  mutable std::mutex mutex_;
  std::condition_variable ended_;
  std::map<std::uint64_t, Job> jobs_;
  std::uint64_t last_ = 0;
  std::size_t running_ = 0;
};

}  // namespace steerbench::server
