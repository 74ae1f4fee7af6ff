#include "server/connections.h"

#include <cstdio>
#include <exception>

namespace steerbench::server {

bool Connections::Started() {
  if (threads_.size() >= kMost) return false;
  try {
    threads_.emplace_back([this] { Work(); });
  } catch (const std::exception&) {  // no thread, or no memory for one
    return false;
  }
  return true;
}

bool Connections::Take(std::function<void()> job) {
  const std::scoped_lock lock(mutex_);
  if (waiting_.size() >= idle_ && !Started()) return false;
  waiting_.push_back(std::move(job));
  woken_.notify_one();
  return true;
}

void Connections::Work() {
  std::unique_lock lock(mutex_);
  for (;;) {
    ++idle_;
    woken_.wait(lock, [this] { return ending_ || !waiting_.empty(); });
    --idle_;
    if (waiting_.empty()) return;
    const std::function<void()> job = std::move(waiting_.front());
    waiting_.pop_front();
    lock.unlock();
    try {
      job();
    } catch (const std::exception& e) {  // one connection's end, not the program's
      std::fprintf(stderr, "steerbench: internal error: a connection: %s\n", e.what());
    }
    lock.lock();
  }
}

void Connections::Finish() {
  {
    const std::scoped_lock lock(mutex_);
    ending_ = true;
  }
  woken_.notify_all();
  for (std::thread& thread : threads_) thread.join();
}

}  // namespace steerbench::server
