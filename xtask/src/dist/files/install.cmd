@echo off
rem Installs Firstjack for the person who runs this, and says where.
setlocal
set "HERE=%~dp0"
set "OWN=%LOCALAPPDATA%\Programs\Firstjack"
set "PLUGINS=%LOCALAPPDATA%\Programs\Common"
if "%LOCALAPPDATA%"=="" goto nowhere
for %%F in (firstjack.exe Firstjack.vst3\Contents\x86_64-win\Firstjack.vst3 guide.html uninstall.cmd) do (
    if not exist "%HERE%%%F" (
        echo install: %%F is missing; extract all of the archive first. Nothing was changed. 1>&2
        goto failed
    )
)
for %%F in (@PRESETS@) do (
    if not exist "%HERE%presets\%%F" (
        echo install: presets\%%F is missing; extract all of the archive first. Nothing was changed. 1>&2
        goto failed
    )
)
for %%D in ("%OWN%\presets" "%OWN%\shipped" "%PLUGINS%\CLAP" "%PLUGINS%\VST3\Firstjack.vst3\Contents\x86_64-win") do (
    if not exist %%D mkdir %%D
    if not exist %%D goto cannot
)
rem All of it beside its place first, so that nothing is half done when the disk is full.
copy /y "%HERE%firstjack.exe" "%OWN%\firstjack.exe.part" >nul
if errorlevel 1 goto cannot
rem Both bundles are one plugin, which is packed once.
copy /y "%HERE%Firstjack.vst3\Contents\x86_64-win\Firstjack.vst3" "%PLUGINS%\CLAP\Firstjack.part" >nul
if errorlevel 1 goto cannot
copy /y "%HERE%Firstjack.vst3\Contents\x86_64-win\Firstjack.vst3" "%PLUGINS%\VST3\Firstjack.vst3\Contents\x86_64-win\Firstjack.part" >nul
if errorlevel 1 goto cannot
move /y "%PLUGINS%\CLAP\Firstjack.part" "%PLUGINS%\CLAP\Firstjack.clap" >nul
if errorlevel 1 goto inuse
move /y "%PLUGINS%\VST3\Firstjack.vst3\Contents\x86_64-win\Firstjack.part" "%PLUGINS%\VST3\Firstjack.vst3\Contents\x86_64-win\Firstjack.vst3" >nul
if errorlevel 1 goto inuse
move /y "%OWN%\firstjack.exe.part" "%OWN%\firstjack.exe" >nul
if errorlevel 1 goto inuse
rem A preset that the person has changed stays beside the new one; "shipped" keeps them as they were installed.
for %%F in (@PRESETS@) do (
    call :compare %%F
    if errorlevel 1 move /y "%OWN%\presets\%%F" "%OWN%\presets\%%F.old" >nul
    for %%D in (presets shipped) do (
        copy /y "%HERE%presets\%%F" "%OWN%\%%D\%%F" >nul
        if errorlevel 1 goto cannot
    )
)
for %%F in (guide.html README.txt CHANGELOG.md LICENSE LICENCES.txt uninstall.cmd) do (
    copy /y "%HERE%%%F" "%OWN%\%%F" >nul
    if errorlevel 1 goto cannot
)
echo Firstjack is installed:
echo   program, presets, guide  %OWN%
echo   CLAP                     %PLUGINS%\CLAP\Firstjack.clap
echo   VST3                     %PLUGINS%\VST3\Firstjack.vst3
if exist "%OWN%\presets\*.old" echo Presets that you had changed are beside the new ones, as NAME.old.
echo Let your workstation search for plugins anew.
echo Away again: %OWN%\uninstall.cmd
if not defined FIRSTJACK_QUIET pause
exit /b 0

:nowhere
echo install: LOCALAPPDATA is not set. Nothing was changed. 1>&2
goto failed
:inuse
echo install: a file is in use. Close your workstation and Firstjack, and install again. 1>&2
goto tidy
:cannot
echo install: cannot write. Is the disk full? Install again when there is room. 1>&2
:tidy
del "%OWN%\firstjack.exe.part" "%PLUGINS%\CLAP\Firstjack.part" "%PLUGINS%\VST3\Firstjack.vst3\Contents\x86_64-win\Firstjack.part" 2>nul
:failed
if not defined FIRSTJACK_QUIET pause
exit /b 1

:compare
if not exist "%OWN%\presets\%1" exit /b 0
for %%X in ("%OWN%\presets\%1") do set "NOW=%%~zX %%~tX"
set "THEN=none"
for %%X in ("%OWN%\shipped\%1") do set "THEN=%%~zX %%~tX"
if "%NOW%"=="%THEN%" exit /b 0
exit /b 1
