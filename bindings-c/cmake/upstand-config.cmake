# find_package(upstand) defines upstand::upstand, the shared library, and upstand::static.
get_filename_component(_upstand_prefix "${CMAKE_CURRENT_LIST_DIR}/../../.." ABSOLUTE)

if(NOT TARGET upstand::upstand)
  add_library(upstand::upstand SHARED IMPORTED)
  set_target_properties(upstand::upstand PROPERTIES
    IMPORTED_LOCATION "${_upstand_prefix}/lib/${CMAKE_SHARED_LIBRARY_PREFIX}upstand_c${CMAKE_SHARED_LIBRARY_SUFFIX}"
    IMPORTED_NO_SONAME TRUE
    INTERFACE_INCLUDE_DIRECTORIES "${_upstand_prefix}/include")

  find_package(Threads REQUIRED)
  add_library(upstand::static STATIC IMPORTED)
  set_target_properties(upstand::static PROPERTIES
    IMPORTED_LOCATION "${_upstand_prefix}/lib/${CMAKE_STATIC_LIBRARY_PREFIX}upstand_c${CMAKE_STATIC_LIBRARY_SUFFIX}"
    INTERFACE_INCLUDE_DIRECTORIES "${_upstand_prefix}/include"
    INTERFACE_LINK_LIBRARIES "Threads::Threads;${CMAKE_DL_LIBS};m")
endif()
