# Registers each test method of the test_*.py here as a test of its own, found by its name in the
# text, to be run from this folder on the real program.
#   steerbench_python_tests(prefix)
find_package(Python3 3.9 REQUIRED COMPONENTS Interpreter)
function(steerbench_python_tests prefix)
  file(GLOB modules CONFIGURE_DEPENDS ${CMAKE_CURRENT_SOURCE_DIR}/test_*.py)
  set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS ${modules})
  foreach(path ${modules})
    get_filename_component(module ${path} NAME_WE)
    file(STRINGS ${path} lines REGEX "^class [A-Za-z]+|^    def test_[a-z0-9_]+")
    foreach(line ${lines})
      if(line MATCHES "^class ([A-Za-z]+)")
        set(class ${CMAKE_MATCH_1})
      elseif(line MATCHES "def (test_[a-z0-9_]+)")
        set(name ${module}.${class}.${CMAKE_MATCH_1})
        add_test(NAME ${prefix}.${name}
                 COMMAND ${Python3_EXECUTABLE} -B -m unittest ${name}
                 WORKING_DIRECTORY ${CMAKE_CURRENT_SOURCE_DIR})
        set_tests_properties(${prefix}.${name} PROPERTIES
                             ENVIRONMENT "STEERBENCH=$<TARGET_FILE:steerbench>;\
STEERBENCH_SANITIZE=$<BOOL:${STEERBENCH_SANITIZE}>")
      endif()
    endforeach()
  endforeach()
endfunction()
