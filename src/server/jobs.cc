#include "server/jobs.h"

#include <sys/resource.h>

#include <array>
#include <exception>
#include <system_error>

namespace steerbench::server {

std::string_view WordFor(JobState state) {
  constexpr std::array<std::string_view, 4> kWords{"running", "done", "failed", "stopped"};
  return kWords[static_cast<std::size_t>(state)];
}

Jobs::~Jobs() {
  std::unique_lock lock(mutex_);
  for (auto& [id, job] : jobs_) job.stop = true;
  ended_.wait(lock, [this] { return running_ == 0; });
}

std::optional<std::uint64_t> Jobs::Start(Work work) {
  const std::scoped_lock lock(mutex_);
  if (running_ >= kMostRunning) return std::nullopt;
  const std::uint64_t id = ++last_;
  jobs_.emplace(id, Job{});
  // The oldest that ended is forgotten.
  for (auto job = jobs_.begin(); jobs_.size() > kKept && job != jobs_.end();) {
    job = job->second.report.state == JobState::kRunning ? std::next(job) : jobs_.erase(job);
  }
  try {
    std::thread([this, id, work = std::move(work)] { Run(id, work); }).detach();
  } catch (const std::system_error&) {  // no thread to be had: there is no such job
    jobs_.erase(id);
    return std::nullopt;
  }
  ++running_;  // it cannot have ended yet: that takes the lock
  return id;
}

// Work gives way to requests, so that a drag stays smooth beside it.
void Jobs::Run(std::uint64_t id, const Work& work) {
#ifdef __linux__
  constexpr int kPatient = 10;
  (void)setpriority(PRIO_PROCESS, 0, kPatient);  // there, of this thread and those it starts
#endif
  JobReport report;
  try {
    report.result = work([this, id](double share) { Progress(id, share); });
    report.state = JobState::kDone;
    report.progress = 1.0;
  } catch (const JobStopped&) {
    report.state = JobState::kStopped;
  } catch (const std::exception& e) {
    report.state = JobState::kFailed;
    report.error = e.what();
  }
  End(id, report);
}

// Told in steps of a hundredth, so that listeners are not flooded.
void Jobs::Progress(std::uint64_t id, double share) {
  constexpr double kStep = 0.01;
  JobReport report;
  {
    const std::scoped_lock lock(mutex_);
    Job& job = jobs_.at(id);
    if (job.stop) throw JobStopped{};
    if (share - job.report.progress < kStep) return;
    job.report.progress = share;
    report = job.report;
  }
  listener_(id, report);
}

// Whoever waits in the destructor goes on only when the last lock is let go.
void Jobs::End(std::uint64_t id, const JobReport& report) {
  {
    const std::scoped_lock lock(mutex_);
    jobs_.at(id).report = report;
  }
  listener_(id, report);
  const std::scoped_lock lock(mutex_);
  --running_;
  ended_.notify_all();
}

std::optional<JobReport> Jobs::Look(std::uint64_t id) const {
  const std::scoped_lock lock(mutex_);
  const auto found = jobs_.find(id);
  return found == jobs_.end() ? std::nullopt : std::optional(found->second.report);
}

bool Jobs::Stop(std::uint64_t id) {
  const std::scoped_lock lock(mutex_);
  const auto found = jobs_.find(id);
  if (found == jobs_.end()) return false;
  found->second.stop = true;
  return true;
}

}  // namespace steerbench::server
